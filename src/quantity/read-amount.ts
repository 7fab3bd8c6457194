import { type Ratio, ratio } from "./exact.js";
import type { Refusal } from "./refusal.js";
import { VULGAR_FRACTIONS } from "./spelling.js";

/** One number without sign or unit, and where it ends in the text. */
export interface Amount {
  readonly value: Ratio;
  readonly end: number;
}

const FRACTION = /(?:(\d+)[ -])?(\d+) ?\/ ?(\d+)/y;
const VULGAR = new RegExp(`(?:(\\d+)[ -]?)?([${[...VULGAR_FRACTIONS.keys()].join("")}])`, "y");
const DECIMAL = /(?=[.,]?\d)(\d*)(?:[.,](\d+))?(?:e([+-]?)(\d+))?/iy;

/** Reads a decimal, a fraction or a whole number with a fraction at `start`; `undefined` if there is none. */
export function readAmount(text: string, start: number, refuse: Refusal): Amount | undefined {
  const fraction = matchAt(FRACTION, text, start) ?? matchAt(VULGAR, text, start);
  if (fraction !== undefined) return { value: mixed(fraction, refuse), end: start + fraction[0].length };
  const decimal = matchAt(DECIMAL, text, start);
  if (decimal === undefined) return undefined;
  const [all, whole, part = "0", sign = "", power = "0"] = decimal;
  if (power.length > 2)
    throw refuse("its power of ten is out of reach", "a power of ten has at most two figures");
  return { value: ratio(`${whole || "0"}.${part}e${sign}${power}`), end: start + all.length };
}

function mixed([, whole, top = "", bottom]: RegExpExecArray, refuse: Refusal): Ratio {
  const [over, under] = VULGAR_FRACTIONS.get(top) ?? [top, bottom!];
  const fraction = ratio(over, under);
  if (fraction.d.isZero())
    throw refuse("the fraction has zero below its line", "that number must be 1 or more");
  if (whole === undefined) return fraction;
  if (fraction.n.gte(fraction.d))
    throw refuse(
      "the fraction after the whole number is one or more",
      "after a whole number the fraction must be less than one",
    );
  return { n: fraction.d.times(whole).plus(fraction.n), d: fraction.d };
}

function matchAt(pattern: RegExp, text: string, start: number): RegExpExecArray | undefined {
  pattern.lastIndex = start;
  return pattern.exec(text) ?? undefined;
}
