import type { Arrangement, Cut, Piece } from "../../model/cell/arrangement.js";

/** A jig for an angle of a pattern, named after its first use and its whole degrees: `point-67`. */
export interface StarterJig {
  readonly name: string;
  /** As written on its label: `67.5 deg`. */
  readonly ramp: string;
  readonly angle: number;
  /** Its first use: points, or other bevels. */
  readonly makes: "point" | "bevel";
}

/** A set-up: cuts made alike. The first cut of a piece is made to a mark and has no stop. */
export interface StarterSetUp {
  readonly name: string;
  readonly jig: string;
  readonly group: string;
  readonly stopped: boolean;
  readonly piece: Piece;
  readonly cut: Cut;
}

export interface PatternShop {
  readonly jigs: readonly StarterJig[];
  readonly setUps: readonly StarterSetUp[];
}

const SAME_ANGLE = 1e-9;
const ROLES = ["point", "mitre", "seat", "square"];

/** The jigs and set-ups that a pattern needs, in the order of its pieces. */
export function patternShop({ pieces }: Arrangement): PatternShop {
  const jigs: StarterJig[] = [];
  const jigFor = ({ jigAngle, role }: Cut): string => {
    const known = jigs.find(({ angle }) => Math.abs(angle - jigAngle) <= SAME_ANGLE);
    if (known) return known.name;
    const degrees = Number(((jigAngle * 180) / Math.PI).toFixed(4));
    const makes = role === "point" ? "point" : "bevel";
    const plain = `${makes}-${Math.floor(degrees)}`;
    const name = jigs.some((jig) => jig.name === plain) ? `${plain}-${jigs.length + 1}` : plain;
    jigs.push({ name, ramp: `${degrees} deg`, angle: jigAngle, makes });
    return name;
  };
  const kinds = pieces.filter(({ kind }, i) => pieces.findIndex((piece) => piece.kind === kind) === i);
  for (const { cuts } of kinds) for (const cut of cuts) jigFor(cut);
  const setUps = kinds.flatMap((piece) => {
    const cuts = piece.cuts
      .filter(({ group }, i) => piece.cuts.findIndex((cut) => cut.group === group) === i)
      .sort((a, b) => a.end - b.end || ROLES.indexOf(a.role) - ROLES.indexOf(b.role));
    return cuts.map(
      (cut, i): StarterSetUp => ({
        name: cut.group.replace(".", "-"),
        jig: jigFor(cut),
        group: cut.group,
        stopped: i > 0,
        piece,
        cut,
      }),
    );
  });
  return { jigs, setUps };
}
