import {
  Composer,
  type CST,
  type Document,
  isAlias,
  isNode,
  Lexer,
  LineCounter,
  Parser,
  visit,
  type YAMLError,
} from "yaml";
import { present } from "../../core/numeric/dense.js";

/** A violation of YAML itself, with its place in the text. */
interface YamlFault {
  readonly offset: number;
  readonly sentence: string;
  readonly example: string;
}

/** A parsed YAML or JSON text with the positions of its parts. */
export interface YamlText {
  readonly data: unknown;
  /** `null`, with no data, when the faults make the text unreadable. */
  readonly document: Document.Parsed | null;
  readonly lines: LineCounter;
  readonly faults: readonly YamlFault[];
}

/** Reads one YAML 1.2 document with the core schema: no custom tags, no merge keys, no repeated keys. */
export function readYaml(text: string): YamlText {
  const lines = new LineCounter();
  try {
    const composer = new Composer({ schema: "core", uniqueKeys: true, logLevel: "error" });
    const documents = [...composer.compose(modestTokens(text, lines), true, text.length)];
    const [document, second] = documents as Document.Parsed[];
    return { lines, ...read(document!, second, lines) };
  } catch (error) {
    if (!(error instanceof TooMuch)) throw error;
    const fault = { offset: error.offset, sentence: error.message, example: "opening: 60 mm" };
    return { data: null, document: null, lines, faults: [fault] };
  }
}

function read(
  document: Document.Parsed,
  second: Document.Parsed | undefined,
  lines: LineCounter,
): Omit<YamlText, "lines"> {
  const fault = (offset: number, [sentence, example]: readonly [string, string]): YamlFault => ({
    offset,
    sentence,
    example,
  });
  const { errors, warnings } = document;
  const lost = lostAliases(document).map(([name, offset]) => fault(offset, lostAliasSaying(name)));
  const faults = [
    ...[...errors, ...warnings].map((error) => fault(error.pos[0], syntaxSaying(error))),
    ...(second ? [fault(second.range[0], SECOND_DOCUMENT)] : []),
    ...lost,
  ];
  if (lost.length > 0 || errors.some(({ code }) => code !== "DUPLICATE_KEY"))
    return { data: null, document: null, faults: firstOfEachLine(faults, lines) };
  try {
    return { data: document.toJS({ maxAliasCount: MAX_ALIASES }), document, faults };
  } catch (error) {
    if (error instanceof ReferenceError) throw new TooMuch(TOO_MANY_ALIASES, 0);
    throw error;
  }
}

function lostAliases(document: Document.Parsed): [name: string, offset: number][] {
  const lost: [string, number][] = [];
  visit(document, {
    Alias: (_, alias) => {
      if (alias.resolve(document) === undefined) lost.push([alias.source, startOf(alias)]);
    },
  });
  return lost;
}

/** One wrong character can cause several errors on its line; only the first is kept. */
function firstOfEachLine(faults: readonly YamlFault[], lines: LineCounter): YamlFault[] {
  const sorted = [...faults].sort((a, b) => a.offset - b.offset);
  const lineOf = (fault: YamlFault | undefined) => fault && lines.linePos(fault.offset).line;
  return sorted.filter((fault, i) => lineOf(fault) !== lineOf(sorted[i - 1]));
}

/** Position where a node starts in its text; 0 for a missing node. */
export const startOf = (node: unknown): number => (isNode(node) ? (node.range?.[0] ?? 0) : 0);

/** A node, after following its alias. */
export const resolved = (node: unknown, document: Document.Parsed): unknown =>
  isAlias(node) ? node.resolve(document) : node;

/** Deepest nesting read; a job file needs six levels. */
export const MAX_DEPTH = 20;
/** Largest number of entries read, keys and list members together. */
export const MAX_ENTRIES = 20_000;
/** Largest number of keys read in one group: each is compared with every other. */
const MAX_KEYS = 2000;
/** Largest number of tokens and line breaks read. */
const MAX_SIGNS = 250_000;
/** Largest number of aliases (`*name`) read, and of expansions of one alias within another. */
export const MAX_ALIASES = 100;

/** Thrown for a text larger than any job, which would exhaust memory, the stack or time. */
class TooMuch extends Error {
  override readonly name = "TooMuch";
  readonly offset: number;

  constructor(message: string, offset: number) {
    super(message);
    this.offset = offset;
  }
}

const TOO_MANY_ALIASES = `The file repeats too much by aliases (*name); at most ${MAX_ALIASES} are followed, so write the values themselves.`;
const TOO_MANY = `The file is too long for a job; at most ${MAX_ENTRIES} entries are read.`;
const TOO_WIDE = `A group has too many keys; at most ${MAX_KEYS} are read.`;
const TOO_DEEP = `The file is nested too deeply; at most ${MAX_DEPTH} levels are read.`;

/**
 * The tokens of a YAML text, for its composer. The composer overflows the stack on deep nesting and compares each key with every
 * other, so both limits are checked here, without recursion.
 *
 * @throws TooMuch
 */
function modestTokens(text: string, lines: LineCounter): CST.Token[] {
  const parser = new Parser(lines.addNewLine);
  const tokens: CST.Token[] = [];
  lines.addNewLine(0);
  let signs = 0;
  for (const sign of new Lexer().lex(text)) {
    if (++signs > MAX_SIGNS) throw new TooMuch(TOO_MANY, parser.offset);
    tokens.push(...parser.next(sign));
  }
  tokens.push(...parser.end());
  requireModest(tokens);
  return tokens;
}

function requireModest(tokens: readonly CST.Token[]): void {
  const open = tokens.map((token): [CST.Token, number] => [token, 0]);
  let entries = tokens.length;
  let aliases = 0;
  while (open.length > 0) {
    const [token, depth] = present(open.pop());
    if (token.type === "document" && token.value) open.push([token.value, depth]);
    if (token.type === "alias" && ++aliases > MAX_ALIASES) throw new TooMuch(TOO_MANY_ALIASES, token.offset);
    if (!("items" in token)) continue;
    if (depth >= MAX_DEPTH) throw new TooMuch(TOO_DEEP, token.offset);
    const keyed = token.type === "block-map" || token.type === "flow-collection";
    if (keyed && token.items.length > MAX_KEYS && hasKeys(token)) throw new TooMuch(TOO_WIDE, token.offset);
    entries += token.items.length;
    if (entries > MAX_ENTRIES) throw new TooMuch(TOO_MANY, token.offset);
    for (const { key, value } of token.items)
      for (const part of [key, value]) if (part) open.push([part, depth + 1]);
  }
}

/** Groups between curly brackets have keys; lists between square brackets do not. */
const hasKeys = (token: CST.BlockMap | CST.FlowCollection): boolean =>
  token.type === "block-map" || token.start.source === "{";

type Saying = readonly [sentence: string, example: string];

const SECOND_DOCUMENT: Saying = [
  "A second document starts here; a job file holds one, so leave out the line with ---.",
  "a file of its own for each job",
];

/** Message and example for an error of the YAML reader, by its code. */
const SAYINGS: Partial<Record<YAMLError["code"], Saying>> = {
  DUPLICATE_KEY: ["This key appears twice in its group; write each key once.", "each key once"],
  TAB_AS_INDENT: [
    "The line starts with a tab; indent with spaces.",
    "two spaces, then point-45: { ramp: 45 deg, locked: true }",
  ],
  BLOCK_AS_IMPLICIT_KEY: [
    "The line has a second colon, or the next one is indented too far; a text with a colon is put in quotation marks, and the keys of one group start at the same column.",
    'title: "Alcove: new jigs"',
  ],
  MULTILINE_IMPLICIT_KEY: [
    "The line is not a key with its value; a colon and a space go between the two, and the keys of one group start at the same column.",
    "opening: 60",
  ],
  BAD_INDENT: [
    "A bracket before this is not closed, or the line starts too far to the left; every { or [ needs its } or ] in the right order, and what belongs to a key is written to the right of it.",
    "shims: { base: 90, leaves: [0.1, 0.2] }",
  ],
  MISSING_CHAR: [
    "A quotation mark, a bracket, a comma or a colon is missing here or before; what is opened is closed, and members of a list have commas between them.",
    "leaves: [0.1, 0.2]",
  ],
  BAD_SCALAR_START: [
    "The text starts with a sign that has another meaning in YAML; put it in quotation marks.",
    'title: "@home"',
  ],
  BAD_DQ_ESCAPE: [
    "A backslash in a text between double quotation marks has another meaning; use single ones.",
    "title: 'C:\\jigs'",
  ],
  TAG_RESOLVE_FAILED: ["The value has a tag (!); tags are not read, so leave it out.", "opening: 60"],
};

/** The message for an error of the YAML reader. */
const syntaxSaying = ({ code, message }: YAMLError): Saying =>
  SAYINGS[code] ?? [
    `This cannot be read as YAML or JSON: ${message.split("\n")[0]}.`,
    "a key, a colon, a space and its value: opening: 60",
  ];

/** The message for an alias without an anchor before it. */
const lostAliasSaying = (name: string): Saying => [
  `The alias *${name} has no anchor &${name} before it; a text that starts with * is put in quotation marks.`,
  `"*${name}"`,
];
