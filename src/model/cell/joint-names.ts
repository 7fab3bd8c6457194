import { at } from "../../core/numeric/dense.js";
import type { Cut, Piece } from "./arrangement.js";
import type { Cell, Face, Joint } from "./cell.js";
import { faceAlone, ownerNamed, runsOfJoint } from "./face-id.js";

/** Names of a cell's or bench's joints as makers say and type them. */
export interface JointNames {
  /** The shortest name of each joint, in the order of the joints: `hinge-1 tip on wall-left`, `hinge-1 mitre`; of a bench `start-left`. */
  readonly short: readonly string[];
  /**
   * The joints that a typed name can refer to: one if it is unambiguous, several if it is ambiguous, none if no joint has it. Full names, parts of full names
   * (`hinge-1.start-left`) and names in words (`hinge-1 tip on diagonal`, `hinge-1 seat`), whatever the case; "on", "of" and "the" may be left out.
   */
  readonly meant: (typed: string) => readonly string[];
  /** Every known name, for suggestions when a name is mistyped. */
  readonly known: () => readonly string[];
}

/**
 * Names the joints of a cell.
 *
 * @example
 * jointNames(cell).meant("hinge-1 mitre") // ["hinge-1.end-right|hinge-2.end-left"]
 */
export function jointNames(cell: Cell): JointNames {
  const full = new Set(cell.joints.map(({ name }) => name));
  const parts = new Map<string, string[]>();
  const words = new Map<string, string[]>();
  const note = (names: Map<string, string[]>, key: string, joint: string): void => {
    const own = names.get(key) ?? [];
    if (!own.includes(joint)) names.set(key, [...own, joint]);
  };
  for (const joint of cell.joints) {
    for (const part of runsOfJoint(joint.name)) note(parts, part, joint.name);
    for (const spoken of spokenNames(cell, joint)) note(words, spoken, joint.name);
  }
  const clear = (name: string): boolean => words.get(plain(name))?.length === 1 && !parts.has(name);
  return {
    short: cell.joints.map((joint) => shortName(cell, joint, clear, parts)),
    meant: (typed) => {
      const name = typed.trim().toLowerCase();
      return full.has(name) ? [name] : (parts.get(name) ?? words.get(plain(name)) ?? []);
    },
    known: () => [...parts.keys(), ...words.keys()],
  };
}

/**
 * The short name of each joint, by its full name.
 *
 * @example
 * shortJointNames(cell).get("hinge-1.end-right|hinge-2.end-left") // "hinge-1 mitre"
 */
export function shortJointNames(cell: Cell): ReadonlyMap<string, string> {
  const { short } = jointNames(cell);
  return new Map(cell.joints.map(({ name }, i) => [name, at(short, i)]));
}

/**
 * Full names of the cuts that a typed name can refer to: `hinge-1 mitre` or `hinge-1 tip left`, regardless of case.
 *
 * @example
 * cutsMeant(cell, "hinge-1 mitre") // ["hinge-1.end-right"]
 */
export function cutsMeant(cell: Cell, typed: string): string[] {
  const name = plain(typed.trim().toLowerCase());
  return cell.faces
    .filter(
      (face) =>
        face.cut &&
        ownersOf(cell, face)
          .flatMap((owner) => named(owner, wordsOf(cell, face)))
          .includes(name),
    )
    .map((face) => face.name);
}

/** Words that add nothing to a name. */
const IDLE = new Set(["on", "of", "the", "to", "at"]);

/** A name in words without those that add nothing. */
const plain = (name: string): string =>
  name
    .split(/[\s|]+/)
    .filter((word) => word !== "" && !IDLE.has(word))
    .join(" ");

/** Every name of a joint in words: each of its faces by its function, alone and with the face that it meets. */
function spokenNames(cell: Cell, { first, mate }: Joint): string[] {
  const [a, b] = [at(cell.faces, first), at(cell.faces, mate)];
  return [
    [a, b],
    [b, a],
  ].flatMap(([own, other]) => {
    if (!own || !other) return [];
    const others = ownersOf(cell, other).flatMap((owner) => [owner, ...named(owner, wordsOf(cell, other))]);
    return ownersOf(cell, own).flatMap((owner) =>
      named(owner, wordsOf(cell, own)).flatMap((name) => [name, ...others.map((mate) => `${name} ${mate}`)]),
    );
  });
}

const named = (owner: string, words: readonly string[]): string[] => words.map((word) => `${owner} ${word}`);

/** The piece or wall of a face. */
const ownersOf = ({ pieces }: Cell, { body, name }: Face): string[] => [
  pieces[body]?.name ?? ownerNamed(name),
];

/** Names of a face on its piece: a cut by its end and by its function, each also with the side that it faces. */
function wordsOf({ pieces }: Cell, { body, cut, name, kind }: Face): string[] {
  const piece = pieces[body];
  if (kind === "side") return [faceAlone(name), `${faceAlone(name)} side`];
  if (!cut || !piece) return [];
  const side = cut.side === 1 ? "left" : "right";
  return [...endWords(piece, cut)].flatMap((word) => [word, `${word} ${side}`]);
}

/** `start`, `tip`, `start tip`; the word for the cut's function is used without its end if the piece has such a cut at one end only. */
function endWords({ cuts }: Piece, { end, role }: Cut): string[] {
  const [own, other] = end === 1 ? ["end", "start"] : ["start", "end"];
  const what = ROLE_WORDS[role];
  const alone = !cuts.some((cut) => cut.role === role && cut.end !== end);
  return [own, ...(what === own || what === other ? [] : [`${own} ${what}`, ...(alone ? [what] : [])])];
}

const ROLE_WORDS: Readonly<Record<Cut["role"], string>> = {
  point: "tip",
  mitre: "mitre",
  seat: "seat",
  square: "square end",
};

/** On a bench, the shortest part of the full name; in a cell, the first unambiguous one of: either face by itself, the face and what it meets, the full name. */
function shortName(
  cell: Cell,
  { name, first, mate }: Joint,
  clear: (name: string) => boolean,
  parts: ReadonlyMap<string, readonly string[]>,
): string {
  if (cell.pieces.length === 1) {
    const own = runsOfJoint(name).filter((part) => parts.get(part)?.length === 1);
    return own.reduce((best, part) => (part.length < best.length ? part : best), name);
  }
  const [a, b] = [at(cell.faces, first), at(cell.faces, mate)];
  const [wordA, wordB] = [a, b].map((face) => bestWord(cell, face));
  const [ownerA = "", ownerB = ""] = [a, b].flatMap((face) => ownersOf(cell, face));
  const tried = [
    wordA && `${ownerA} ${wordA}`,
    b.cut && wordB && `${ownerB} ${wordB}`,
    wordA && `${ownerA} ${wordA} on ${ownerB}`,
    wordA && wordB && `${ownerA} ${wordA} on ${ownerB} ${wordB}`,
  ];
  return tried.find((one) => one && clear(one)) || name;
}

/** The most specific word: the cut's function if that is sufficient, otherwise its end. */
function bestWord({ pieces }: Cell, { body, cut, name, kind }: Face): string | undefined {
  const piece = pieces[body];
  if (kind === "side") return faceAlone(name);
  if (!cut || !piece) return undefined;
  const words = endWords(piece, cut);
  return words.find((word) => word === ROLE_WORDS[cut.role]) ?? at(words, 0);
}
