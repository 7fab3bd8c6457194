import { Composer, type Document, isAlias, isNode, LineCounter, visit } from "yaml";
import { MAX_ALIASES, modestTokens, TOO_MANY_ALIASES, TooMuch } from "./modest-tokens.js";
import { lostAliasSaying, SECOND_DOCUMENT, syntaxSaying } from "./syntax-sayings.js";

/** Something that YAML itself does not allow, and where in the text. */
export interface YamlFault {
  readonly offset: number;
  readonly sentence: string;
  readonly example: string;
}

/** A YAML or JSON text with the places of its parts. */
export interface YamlText {
  readonly data: unknown;
  /** `null`, and no data, when the faults leave nothing to be read. */
  readonly document: Document.Parsed | null;
  readonly lines: LineCounter;
  readonly faults: readonly YamlFault[];
}

/** Reads one YAML 1.2 document with the core schema: no tags of its own, no merge keys, each key once. */
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
    ...{ offset, sentence, example },
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

/** One broken sign makes the reader stumble several times on its line. */
function firstOfEachLine(faults: readonly YamlFault[], lines: LineCounter): YamlFault[] {
  const sorted = [...faults].sort((a, b) => a.offset - b.offset);
  const lineOf = (fault: YamlFault | undefined) => fault && lines.linePos(fault.offset).line;
  return sorted.filter((fault, i) => lineOf(fault) !== lineOf(sorted[i - 1]));
}

/** Where a node starts in its text; 0 for one that is not there. */
export const startOf = (node: unknown): number => (isNode(node) ? (node.range?.[0] ?? 0) : 0);

/** A node with its alias followed. */
export const resolved = (node: unknown, document: Document.Parsed): unknown =>
  isAlias(node) ? node.resolve(document) : node;
