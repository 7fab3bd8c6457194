import { DEGREE } from "../../core/geometry.js";
import { present } from "../../core/numeric/dense.js";
import { Unfit } from "../faults.js";

/** An expression of a pattern file as a tree; its numbers are mm, rad or dimensionless. */
export type Expression =
  | { readonly kind: "number"; readonly value: number; readonly unit: string | null }
  | { readonly kind: "name"; readonly name: string }
  | { readonly kind: "call"; readonly name: string; readonly args: readonly Expression[] }
  | { readonly kind: "minus"; readonly of: Expression }
  | {
      readonly kind: "sum" | "difference" | "product" | "quotient" | "power";
      readonly a: Expression;
      readonly b: Expression;
    };

/** Units that may directly follow a number. */
export const UNITS: ReadonlyMap<string, number> = new Map([
  ["mm", 1],
  ["inch", 25.4],
  ["deg", DEGREE],
]);

const LONGEST = 300;
const RULE =
  "an expression has numbers, units (mm, inch, deg), names, functions with their brackets, and + - * / ^";

interface Token {
  readonly text: string;
  /** Position in the expression, from 1. */
  readonly at: number;
}

/**
 * Reads an expression such as `distance(A, I) - 2 * shift`. Only arithmetic is allowed: no assignments, texts, members or unknown functions.
 *
 * @throws Unfit with the character at which the expression breaks off.
 */
export function parseExpression(text: string): Expression {
  if (text.length > LONGEST)
    throw new Unfit(
      "the expression is too long",
      `at most ${LONGEST} characters are read; name its parts under let`,
    );
  return new Reader(tokensOf(text)).whole();
}

function tokensOf(text: string): Token[] {
  const tokens: Token[] = [];
  const pattern = /\s*(?:(\d+(?:\.\d+)?(?:[eE][+-]?\d+)?|\.\d+)|([A-Za-z]\w*)|([-+*/^(),]))/y;
  while (pattern.lastIndex < text.trimEnd().length) {
    const from = pattern.lastIndex;
    const found = pattern.exec(text);
    if (!found) {
      const sign = present(text.slice(from).trimStart()[0]);
      const at = from + 1 + text.slice(from).search(/\S/);
      throw new Unfit(`character ${at}, “${sign}”, has no meaning here`, RULE);
    }
    const token = found[1] ?? found[2] ?? found[3]!;
    tokens.push({ text: token, at: pattern.lastIndex - token.length + 1 });
  }
  return tokens;
}

class Reader {
  private place = 0;
  private readonly tokens: readonly Token[];

  constructor(tokens: readonly Token[]) {
    this.tokens = tokens;
  }

  whole(): Expression {
    const found = this.sum();
    if (this.place < this.tokens.length) throw this.unexpected();
    return found;
  }

  private sum(): Expression {
    let a = this.product();
    for (let sign = this.take("+", "-"); sign; sign = this.take("+", "-"))
      a = { kind: sign === "+" ? "sum" : "difference", a, b: this.product() };
    return a;
  }

  private product(): Expression {
    let a = this.signed();
    for (let sign = this.take("*", "/"); sign; sign = this.take("*", "/")) {
      const b = this.signed();
      if (sign === "/" && b.kind === "number" && b.unit !== null)
        throw new Unfit(
          `“/ ${b.value} ${b.unit}” can be meant in two ways`,
          `write (… / ${b.value}) * 1 ${b.unit}, or / (${b.value} ${b.unit})`,
        );
      a = { kind: sign === "*" ? "product" : "quotient", a, b };
    }
    return a;
  }

  private signed(): Expression {
    if (this.take("-")) return { kind: "minus", of: this.signed() };
    const a = this.atom();
    return this.take("^") ? { kind: "power", a, b: this.signed() } : a;
  }

  private atom(): Expression {
    if (this.take("(")) {
      const inside = this.sum();
      this.close();
      // With brackets the unit is unambiguous: / (2 mm).
      return inside.kind === "number" ? { ...inside, unit: null, value: amountOf(inside) } : inside;
    }
    const token = this.tokens[this.place];
    if (token === undefined || /^[-+*/^(),]$/.test(token.text)) throw this.unexpected();
    this.place++;
    if (/^[\d.]/.test(token.text)) {
      const next = this.tokens[this.place]?.text ?? "";
      if (UNITS.has(next)) this.place++;
      return { kind: "number", value: Number(token.text), unit: UNITS.has(next) ? next : null };
    }
    if (!this.take("(")) return { kind: "name", name: token.text };
    const args = [this.sum()];
    while (this.take(",")) args.push(this.sum());
    this.close();
    return { kind: "call", name: token.text, args };
  }

  private close(): void {
    if (this.take(")")) return;
    if (this.tokens[this.place] === undefined)
      throw new Unfit(
        "it breaks off where a closing bracket should follow",
        "within { } an expression with a comma must be in quotation marks",
      );
    throw this.unexpected();
  }

  private take(...signs: readonly string[]): string | null {
    const { text } = this.tokens[this.place] ?? { text: "" };
    if (!signs.includes(text)) return null;
    this.place++;
    return text;
  }

  private unexpected(): Unfit {
    const token = this.tokens[this.place];
    if (token === undefined)
      return new Unfit("it breaks off where a number, a name or an opening bracket should follow", RULE);
    return new Unfit(`“${token.text}” at character ${token.at} does not belong there`, RULE);
  }
}

/** A number with its unit, in mm or rad. */
export const amountOf = ({ value, unit }: { readonly value: number; readonly unit: string | null }): number =>
  value * (unit === null ? 1 : present(UNITS.get(unit)));
