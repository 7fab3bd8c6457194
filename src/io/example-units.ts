import { type LengthUnit, nearestFraction } from "../core/quantity/index.js";

/**
 * Converts an example to the units of the job: in inches, a length of 3 mm or more is rounded to the nearest sixteenth (to whole inches from
 * 300 mm), and a smaller one to a round number of thou.
 *
 * @example
 * exampleIn("{ base: 90 mm, leaves: [0.1 mm] }", "in") // "{ base: 3 9/16 in, leaves: [4 thou] }"
 */
export function exampleIn(example: string, units: LengthUnit): string {
  if (units === "mm") return example;
  return example.replaceAll(
    /(-?)(\d+(?:\.\d+)?) mm\b/g,
    (_, sign: string, size: string) => sign + inches(Number(size)),
  );
}

function inches(mm: number): string {
  if (mm >= LONG) return `${Math.round(mm / 25.4)} in`;
  if (mm >= SMALL) return nearestFraction(mm, { denominator: 16 }).text.replace(/ in .*/, " in");
  const thou = mm / 0.0254;
  return `${thou >= 1 ? Math.round(thou) : Number(thou.toFixed(1))} thou`;
}

/**
 * Converts a sentence about computed lengths to the units of the shop: in inches, `25.4 mm` becomes `1 in`, and lengths below a tenth of an inch are in thou. It is not meant for sentences
 * that repeat a user's input.
 *
 * @example
 * sentenceIn("It is 25.4 mm on a strip of 0.0254 mm.", "in") // "It is 1 in on a strip of 1 thou."
 */
export function sentenceIn(sentence: string, units: LengthUnit): string {
  if (units === "mm") return sentence;
  return sentence.replaceAll(/(\d+(?:\.\d+)?(?:e-\d+)?) mm\b/g, (_, size: string) =>
    inchLength(Number(size)),
  );
}

/** A length in inches, or in thou if it is small, to the given number of significant digits: `2.375 in`, `31.3 thou`. */
export function inchLength(mm: number, digits = 4): string {
  const inch = mm / 25.4;
  if (inch === 0 || Math.abs(inch) >= LEAST_INCH) return `${Number(inch.toPrecision(digits))} in`;
  return `${Number((1000 * inch).toPrecision(3))} thou`;
}

/** Smaller lengths are written in thou. */
const LEAST_INCH = 0.1;

const LONG = 300;
const SMALL = 3;
