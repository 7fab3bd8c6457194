import { at } from "../../core/numeric/dense.js";
import { listed } from "../../core/text.js";
import type { CutFace } from "../../model/cell/arrangement.js";
import { faultSentence, nearest, unknownWord } from "../faults.js";
import { type KeyPath, YamlSource } from "../yaml/yaml-source.js";
import { PATTERN_FUNCTIONS } from "./evaluate-expression.js";
import { UNITS } from "./parse-expression.js";
import type { Pattern, PatternCut, PatternKind, PatternPiece, PatternSize, PatternWall } from "./pattern.js";
import {
  cutShape,
  expression,
  jointsShape,
  kindShape,
  PATTERN_SPELLING,
  PIECE_NAME,
  patternName,
  pieceShape,
  prose,
  sizeShape,
  stagesShape,
  wallShape,
} from "./pattern-shapes.js";

/** Sizes that every pattern has. */
const NEEDED = ["opening", "strip"];
const SYMBOL = /^[A-Za-z]\w*$/;
/** The prefix that distinguishes the walls of a grid from a bench's references. */
const WALL = /^wall-[a-z0-9-]+$/;

/**
 * Reads a pattern file. Its names are checked against each other here; whether its pieces meet depends on the sizes and is checked later.
 *
 * @throws JobError with everything that is wrong in the file
 */
export function readPattern(file: string, shipped = false): Pattern {
  const source = YamlSource.read(file, PATTERN_SPELLING);
  source.requireTopKeys();
  const sizes = readSizes(source);
  const lets = readLets(source, sizes);
  const walls = readWalls(source);
  const kinds = readKinds(source);
  const pieces = readPieces(source, kinds);
  const joints = source.take(["joints"], jointsShape) ?? [];
  const pattern: Pattern = {
    name: source.take(["pattern"], patternName) ?? "",
    title: source.take(["title"], prose("title")) ?? "",
    about: source.take(["about"], prose("about").default("")) ?? "",
    shipped,
    sizes,
    lets,
    walls,
    kinds,
    pieces,
    joints,
    source,
    stages: readStages(source, pieces),
  };
  source.requireFaultless();
  return pattern;
}

function readSizes(source: YamlSource): PatternSize[] {
  const sizes = group(source, "sizes").flatMap(([name, path]): PatternSize[] => {
    const read = source.take(path, sizeShape);
    const symbol = name.replaceAll("-", "_");
    requireSymbol(source, path, symbol);
    return read === undefined ? [] : [{ name, symbol, ...read }];
  });
  for (const name of NEEDED) {
    if (source.at(["sizes"]) === undefined || source.at(["sizes", name]) !== undefined) continue;
    const problem = `${name} is missing`;
    source.refuseKey(
      ["sizes"],
      faultSentence({ what: "sizes", problem, rule: "every pattern has an opening and a strip" }),
      `${name}: { usual: ${name === "strip" ? "3 mm" : "60 mm"} }`,
    );
  }
  return sizes;
}

function readLets(source: YamlSource, sizes: readonly PatternSize[]): Pattern["lets"] {
  return source.entries(["let"], "let").flatMap(([name, path]): Pattern["lets"][number][] => {
    requireSymbol(source, path, name);
    if (sizes.some(({ symbol }) => symbol === name))
      refuseName(source, path, name, "there is a size of that name", "each name stands for one thing");
    const value = source.take(path, expression(name));
    return value === undefined ? [] : [[name, value]];
  });
}

function requireSymbol(source: YamlSource, path: KeyPath, name: string): void {
  if (!SYMBOL.test(name))
    refuseName(source, path, name, "an expression cannot use this name", "it has letters, digits and _");
  else if (PATTERN_FUNCTIONS.has(name) || UNITS.has(name) || name === "pi" || name === "length")
    refuseName(source, path, name, "expressions have something of that name already", "choose another name");
}

function readWalls(source: YamlSource): PatternWall[] {
  return group(source, "walls").flatMap(([name, path]): PatternWall[] => {
    if (!WALL.test(name))
      refuseName(
        source,
        path,
        name,
        "this is no wall's name",
        "a wall is called wall- and a word: wall-left",
      );
    const read = source.take(path, wallShape);
    return read === undefined ? [] : [{ name, ...read }];
  });
}

const FACES = ["start-left", "start-right", "end-left", "end-right"] as const;
const CUT_KEYS = ["start", "end", ...FACES];

function readKinds(source: YamlSource): PatternKind[] {
  return group(source, "kinds").flatMap(([name, path]): PatternKind[] => {
    requirePieceName(source, path, name);
    const read = source.take(path, kindShape);
    if (read === undefined) return [];
    const cuts = source.entries([...path, "cuts"], "cuts").flatMap(([key, at]): PatternCut[] => {
      if (!CUT_KEYS.includes(key)) {
        source.refuseKey(at, unknownSentence("cut", key, CUT_KEYS), `${CUT_KEYS[0]}: …`);
        return [];
      }
      const cut = source.take(at, cutShape);
      if (cut === undefined) return [];
      if (!cut.group.startsWith(`${name}.`)) {
        const rule = `a group of cuts is called after its kind: ${name}.${cut.group.split(".")[1]}`;
        const problem = `it is not a group of ${name}`;
        source.refuse([...at, "group"], faultSentence({ what: "group", problem, rule, value: cut.group }), {
          example: `group: ${name}.${cut.group.split(".")[1]}`,
        });
      }
      const faces = FACES.filter((face) => face === key || face.startsWith(`${key}-`));
      return faces.map((face): PatternCut => ({ ...cut, at: cut.at ?? null, face, key }));
    });
    requireFourCuts(source, [...path, "cuts"], name, cuts);
    return [
      {
        name,
        length: read.length,
        cuts: FACES.flatMap((face) => cuts.find((cut) => cut.face === face) ?? []),
      },
    ];
  });
}

/** Each end needs two cuts, which make the tip that the length is measured to. */
function requireFourCuts(source: YamlSource, path: KeyPath, kind: string, cuts: readonly PatternCut[]): void {
  const own = source.at(path);
  if (typeof own !== "object" || own === null || Object.keys(own).some((key) => !CUT_KEYS.includes(key)))
    return;
  const given = (face: CutFace) => cuts.filter((cut) => cut.face === face).length;
  const wrong = FACES.filter((face) => given(face) !== 1);
  // A cut that cannot be read has already been noted as a fault.
  if (wrong.length === 0 || Object.keys(own).length > new Set(cuts.map(({ key }) => key)).size) return;
  const problem =
    given(at(wrong, 0)) === 0 ? `${listed(wrong)} missing` : `${listed(wrong)} given more than once`;
  const rule =
    "a piece has two cuts at each end: start or start-left and start-right, end or end-left and end-right";
  source.refuse(path, faultSentence({ what: `cuts of ${kind}`, problem, rule }));
}

function readPieces(source: YamlSource, kinds: readonly PatternKind[]): PatternPiece[] {
  const known = kinds.map(({ name }) => name);
  return group(source, "pieces").flatMap(([name, path]): PatternPiece[] => {
    requirePieceName(source, path, name);
    const read = source.take(path, pieceShape);
    if (read === undefined) return [];
    if (!Object.hasOwn((source.at(["kinds"]) ?? {}) as object, read.kind))
      refuseValue(source, [...path, "kind"], "kind", read.kind, known);
    return [{ name, ...read }];
  });
}

function requirePieceName(source: YamlSource, path: KeyPath, name: string): void {
  if (!PIECE_NAME.test(name) || name.startsWith("wall-"))
    refuseName(
      source,
      path,
      name,
      "this name cannot be used",
      "it has small letters, digits and hyphens: hinge-1",
    );
}

function readStages(source: YamlSource, pieces: readonly PatternPiece[]): string[][] {
  const stages = source.take(["stages"], stagesShape) ?? [];
  const known = [...new Set(pieces.flatMap(({ name, kind }) => [kind, name]))];
  const order = pieces.map(({ name }) => name);
  const inOrder = (a: string, b: string): number => order.indexOf(a) - order.indexOf(b);
  const read = stages.map((stage, i) =>
    stage
      .flatMap((word, k) => {
        const meant = pieces.filter(({ name, kind }) => name === word || kind === word);
        if (meant.length === 0)
          refuseValue(
            source,
            Array.isArray(source.at(["stages", i])) ? ["stages", i, k] : ["stages", i],
            "kind or piece",
            word,
            known,
          );
        return meant.map(({ name }) => name);
      })
      .sort(inOrder),
  );
  if (stages.length === 0) return read;
  const counted = (piece: string) => read.flat().filter((name) => name === piece).length;
  const wrong = pieces.find(({ name }) => counted(name) !== 1);
  if (wrong !== undefined && read.every((stage) => stage.length > 0)) {
    const problem =
      counted(wrong.name) === 0 ? `${wrong.name} is in none` : `${wrong.name} is in more than one`;
    source.refuse(
      ["stages"],
      faultSentence({ what: "stages", problem, rule: "every piece is put in once" }),
      {
        example: `stages: [${[...new Set(pieces.map(({ kind }) => kind))].join(", ")}]`,
      },
    );
  }
  return read;
}

/** The entries of a group that must have at least one member. */
function group(source: YamlSource, key: string): [string, KeyPath][] {
  const entries = source.entries([key], key);
  const here = source.at([key]);
  if (here === undefined || (entries.length === 0 && typeof here === "object" && here !== null))
    source.refuse(
      [key],
      faultSentence({ what: key, problem: "there are none", rule: "a pattern needs one at least" }),
    );
  return entries;
}

function refuseName(source: YamlSource, path: KeyPath, name: string, problem: string, rule: string): void {
  const what = String(path[0]);
  // A symbol of expressions has no hyphens, a piece and a wall no underscores.
  const own = what === "walls" ? "wall-one" : what === "pieces" ? "my-own" : "my_own";
  const example = PATTERN_SPELLING.exampleFor([...path.slice(0, -1), own]);
  source.refuseKey(path, faultSentence({ what, problem, rule, value: name }), example);
}

function unknownSentence(kind: string, typed: string, known: readonly string[]): string {
  const [problem, rule] = unknownWord(typed, kind, known);
  return faultSentence({ what: kind, problem, rule, value: typed });
}

function refuseValue(
  source: YamlSource,
  path: KeyPath,
  kind: string,
  typed: string,
  known: readonly string[],
): void {
  const key = path.findLast((step) => typeof step === "string");
  const right = nearest(typed, known) ?? known[0] ?? "";
  source.refuse(path, unknownSentence(kind, typed, known), {
    example: typeof path.at(-1) === "string" ? `${key}: ${right}` : `${key}: [${right}]`,
  });
}
