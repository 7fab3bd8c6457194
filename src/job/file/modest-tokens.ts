import { type CST, Lexer, type LineCounter, Parser } from "yaml";

/** Deepest nesting read; a job file needs six. */
export const MAX_DEPTH = 20;
/** Most entries read, keys and list members together. */
export const MAX_ENTRIES = 20_000;
/** Most keys read in one group: each is compared with every other. */
export const MAX_KEYS = 2000;
/** Most words, signs and line breaks read. */
export const MAX_SIGNS = 250_000;
/** Most aliases (`*name`) read, and most times that one may be written out in another. */
export const MAX_ALIASES = 100;

/** More than any job holds: it would cost the memory, the stack or the day. */
export class TooMuch extends Error {
  override readonly name = "TooMuch";
  readonly offset: number;

  constructor(message: string, offset: number) {
    super(message);
    this.offset = offset;
  }
}

export const TOO_MANY_ALIASES = `The file repeats too much by aliases (*name); at most ${MAX_ALIASES} are followed, so write the values themselves.`;
const TOO_MANY = `The file is too long for a job; at most ${MAX_ENTRIES} entries are read.`;
const TOO_WIDE = `A group has too many keys; at most ${MAX_KEYS} are read.`;
const TOO_DEEP = `The file is nested too deeply; at most ${MAX_DEPTH} levels are read.`;

/**
 * The tokens of a YAML text, for its composer. The composer's stack overflows on deep nesting and it compares each key with every
 * other, so both are looked for here, without recursion.
 *
 * @throws TooMuch
 */
export function modestTokens(text: string, lines: LineCounter): CST.Token[] {
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
    const [token, depth] = open.pop()!;
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

/** A group between curly brackets has them, a list between square ones does not. */
const hasKeys = (token: CST.BlockMap | CST.FlowCollection): boolean =>
  token.type === "block-map" || token.start.source === "{";
