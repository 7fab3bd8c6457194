import { bisectorLength, distance, dot, incentre, sub, type Vec, vec } from "../../../src/core/geometry.js";
import { CLOSING_SEAT_SHARE } from "../../../src/model/cell/asanoha-square.js";
import { squareCell } from "./cells.js";
import { type Check, compareRows, printedTo, published, type Row } from "./check.js";

type Three = [number, number, number];
interface Triangles {
  triangles: { sides: Three; inradius: number; bisectors: Three; toCentre: Three; around: Three }[];
}
interface SquareCells {
  seatShare: number;
  cells: ({ opening: number; strip: number } & Record<"diagonal" | "hinge" | "key", number>)[];
}

/** The inscribed circle, bisectors, and the nominal sizes of the square cell. */
export function checks(): Check[] {
  return [
    ...compareRows(
      "triangle",
      { document: "textbook triangles (Euclid, Elements IV.4)", kind: "recomputed" },
      published<Triangles>("triangles").triangles.flatMap(triangleRows),
    ),
    ...squareCellChecks(),
  ];
}

const CORNERS = ["A", "B", "C"] as const;

function triangleRows({
  sides,
  inradius,
  bisectors,
  toCentre,
  around,
}: Triangles["triangles"][number]): Row[] {
  const corners = cornersOf(sides);
  const centre = incentre(...corners);
  const name = sides.join(", ");
  const at = (k: number): [Vec, Vec, Vec] => [corners[k % 3]!, corners[(k + 1) % 3]!, corners[(k + 2) % 3]!];
  return [0, 1, 2].flatMap((k): Row[] => {
    const [own, next, last] = at(k);
    const id = `${sides.join("-")}-${CORNERS[k]}`;
    return [
      [
        `${id}-r`,
        `${name}: centre to the side opposite ${CORNERS[k]}`,
        inradius,
        toLine(centre, next, last),
        printedTo(8),
      ],
      [
        `${id}-t`,
        `${name}: bisector from ${CORNERS[k]}`,
        bisectors[k]!,
        bisectorLength(own, next, last),
        printedTo(8),
      ],
      [`${id}-I`, `${name}: ${CORNERS[k]} to the centre`, toCentre[k]!, distance(own, centre), printedTo(8)],
      [
        `${id}-angle`,
        `${name}: angle at the centre opposite ${CORNERS[k]}, °`,
        around[k]!,
        angleAt(centre, next, last),
        printedTo(6),
      ],
    ];
  });
}

/** A triangle with a = BC, b = CA, c = AB: B at the origin, C along x. */
function cornersOf([a, b, c]: Three): [Vec, Vec, Vec] {
  const x = (a * a + c * c - b * b) / (2 * a);
  return [vec(x, Math.sqrt(c * c - x * x)), vec(0, 0), vec(a, 0)];
}

function toLine(p: Vec, a: Vec, b: Vec): number {
  const [d, r] = [sub(b, a), sub(p, a)];
  return Math.abs(d.x * r.y - d.y * r.x) / Math.hypot(d.x, d.y);
}

function angleAt(p: Vec, a: Vec, b: Vec): number {
  const [u, v] = [sub(a, p), sub(b, p)];
  return (Math.acos(dot(u, v) / (distance(a, p) * distance(b, p))) * 180) / Math.PI;
}

/** mm. */
const EXACT = 1e-11;

function squareCellChecks(): Check[] {
  const { seatShare, cells } = published<SquareCells>("square-cell");
  return compareRows(
    "square-cell",
    { document: "the pattern's geometry", place: "computed apart from the project", kind: "recomputed" },
    [
      [
        "share",
        "share of the strip that the seat takes so that the cell closes",
        seatShare,
        CLOSING_SEAT_SHARE,
        1e-15,
      ],
      ...cells.flatMap(({ opening, strip, ...lengths }): Row[] => {
        const cell = squareCell(opening, strip);
        const of = (kind: string): number => cell.pieces.find((piece) => piece.kind === kind)!.length;
        return [
          ...(["diagonal", "hinge", "key"] as const).map(
            (kind): Row => [
              `${opening}-${strip}-${kind}`,
              `${kind}, tip to tip, opening ${opening} mm, strip ${strip} mm, mm`,
              lengths[kind],
              of(kind),
              EXACT,
            ],
          ),
          [`${opening}-${strip}-joints`, `joints found in that cell`, 22, cell.joints.length, 0],
        ];
      }),
    ],
  );
}
