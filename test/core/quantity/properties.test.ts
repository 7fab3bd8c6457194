import fc from "fast-check";
import { describe, expect, it } from "vitest";
import {
  formatAngle,
  formatLength,
  formatWithUncertainty,
  MAX_ANGLE_DEG,
  MAX_LENGTH_MM,
  nearestFraction,
  parseAngle,
  parseLength,
  QuantityError,
  roundToUncertainty,
} from "../../../src/core/quantity/index.js";
import { nearestDouble, radiansOf } from "./rational.js";

/** One seed for the file: a failure can be run again as it was. */
const RUN = { seed: 20_080_726, numRuns: 500 };

const wholeInches = fc.integer({ min: 0, max: 3000 });
const denominators = fc.constantFrom(2, 4, 8, 16, 32, 64, 128);
const micrometres = fc.integer({ min: -100_000_000, max: 100_000_000 });
const digits = fc.integer({ min: 0, max: 6 });
/** Short of the reach by more than half an inch, so that what is printed in whole inches can be read. */
const lengths = fc.double({ min: 15 - MAX_LENGTH_MM, max: MAX_LENGTH_MM - 15, noNaN: true });
const radians = fc.double({ min: -6, max: 6, noNaN: true });

/** A decimal text with so many places, written from an integer. */
function decimalText(value: number, places: number, mark: string): string {
  const figures = String(Math.abs(value)).padStart(places + 1, "0");
  return `${value < 0 ? "-" : ""}${figures.slice(0, -places)}${mark}${figures.slice(-places)}`;
}

describe("reading", () => {
  const fractions = fc.record({
    whole: wholeInches,
    below: denominators,
    share: fc.double({ min: 0, max: 0.999, noNaN: true }),
  });
  const parts = ({ whole, below, share }: { whole: number; below: number; share: number }) => ({
    whole,
    top: Math.floor(share * below),
    below,
  });

  it("gives the double nearest to every fraction of an inch", () => {
    fc.assert(
      fc.property(
        fractions,
        fc.constantFrom(" ", "-"),
        fc.constantFrom(" in", '"', "″"),
        (mixed, join, unit) => {
          const { whole, top, below } = parts(mixed);
          const exact = { n: 127n * BigInt(whole * below + top), d: BigInt(5 * below) };
          expect(parseLength(`${whole}${join}${top}/${below}${unit}`, { unit: "mm" })).toBe(
            nearestDouble(exact),
          );
          expect(parseLength(`−${whole}${join}${top}/${below}${unit}`, { unit: "mm" })).toBe(
            0 - nearestDouble(exact),
          );
        },
      ),
      RUN,
    );
  });

  it("gives the double nearest to every decimal, mm and inches", () => {
    fc.assert(
      fc.property(micrometres, (value) => {
        const dot = decimalText(value, 3, ".");
        expect(parseLength(`${dot} mm`, { unit: "in" })).toBe(nearestDouble({ n: BigInt(value), d: 1000n }));
        const comma = decimalText(value, 5, ",");
        expect(parseLength(`${comma} in`, { unit: "mm" })).toBe(
          nearestDouble({ n: 127n * BigInt(value), d: 500_000n }),
        );
      }),
      RUN,
    );
  });

  it("gives the double nearest to every degree, minute and second", () => {
    const sixty = fc.integer({ min: 0, max: 59 });
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 359 }), sixty, sixty, fc.boolean(), (d, m, s, below) => {
        const size = BigInt(3600 * d + 60 * m + s);
        expect(parseAngle(`${below ? "-" : ""}${d}°${m}'${s}"`)).toBe(
          radiansOf({ n: below ? -size : size, d: 3600n }),
        );
      }),
      RUN,
    );
  });

  it("would be caught if it multiplied doubles (negative control)", () => {
    const naive = (whole: number, top: number, below: number): number => (whole + top / below) * 25.4;
    const sample = fc.sample(fractions, RUN).map(parts);
    const wrong = sample.filter(
      ({ whole, top, below }) =>
        naive(whole, top, below) !==
        nearestDouble({ n: 127n * BigInt(whole * below + top), d: BigInt(5 * below) }),
    );
    expect(wrong.length).toBeGreaterThan(RUN.numRuns / 20);
    const naiveRadians = Array.from({ length: 359 }, (_, i) => i + 1).filter(
      (d) => (d * Math.PI) / 180 !== radiansOf({ n: BigInt(d), d: 1n }),
    );
    expect(naiveRadians.length).toBeGreaterThan(10);
  });

  it("answers any text with a number in reach or a sentence, never anything else", () => {
    const pieces = fc.constantFrom(
      ..."0123456789.,/-−+ °'\"″′eE⅜½",
      "mm",
      "cm",
      "m",
      "µm",
      "in",
      "deg",
      "rad",
      "thou",
      "1/0",
      "1e400",
      "NaN",
      "x",
      "\u0000",
      "\uD800",
      "📏",
    );
    const texts = fc.oneof(
      fc.array(pieces, { maxLength: 12 }).map((all) => all.join("")),
      fc.string({ unit: "grapheme", maxLength: 120 }),
    );
    const seen = { read: 0, refused: 0 };
    fc.assert(
      fc.property(texts, (text) => {
        for (const [read, reach] of [
          [() => parseLength(text, { unit: "mm" }), MAX_LENGTH_MM],
          [() => parseAngle(text), (MAX_ANGLE_DEG * Math.PI) / 180],
        ] as const) {
          try {
            const value = read();
            seen.read++;
            expect(Math.abs(value)).toBeLessThanOrEqual(reach);
            expect(Object.is(value, -0)).toBe(false);
          } catch (error) {
            if (!(error instanceof QuantityError)) throw error;
            seen.refused++;
            expect(error.message).not.toMatch(/[\p{Cc}\p{Cs}]|undefined/u);
          }
        }
      }),
      { ...RUN, numRuns: 3000 },
    );
    expect(Math.min(seen.read, seen.refused)).toBeGreaterThan(100);
  });

  it("refuses a long text at once", () => {
    for (const piece of ["1", " ", "1/", "''", "-", "½", "1,"])
      expect(() => parseLength(piece.repeat(5_000_000), { unit: "mm" })).toThrow("at most 80 characters");
  });
});

describe("printing, then reading", () => {
  it("comes back within half the last digit, and to the same text", () => {
    fc.assert(
      fc.property(lengths, digits, (mm, places) => {
        for (const [options, step] of [
          [{ unit: "mm", digits: places }, 1],
          [{ unit: "in", digits: places }, 25.4],
          [{ unit: "in", style: "thou", digits: places }, 0.0254],
        ] as const) {
          const text = formatLength(mm, options);
          expect(text).not.toMatch(/^[-−]0(\.0*)? /);
          // One half, and room for the roundings of two doubles of 1e5.
          const back = parseLength(text, { unit: "mm" });
          expect(Math.abs(back - mm)).toBeLessThanOrEqual(step * 0.5 * 10 ** -places + 3e-11);
          expect(formatLength(back, options)).toBe(text);
        }
      }),
      RUN,
    );
  });

  it("comes back within half the last digit, and to the same text, for angles", () => {
    fc.assert(
      fc.property(radians, digits, (rad, places) => {
        for (const [style, perDegree] of [
          ["decimal", 1],
          ["minutes", 60],
          ["seconds", 3600],
        ] as const) {
          const text = formatAngle(rad, { style, digits: places });
          expect(text).not.toMatch(/(^|\s)60/);
          const back = parseAngle(text);
          const half = ((0.5 * 10 ** -places) / perDegree) * (Math.PI / 180);
          expect(Math.abs(back - rad)).toBeLessThanOrEqual(half + 1e-14);
          expect(formatAngle(back, { style, digits: places })).toBe(text);
        }
      }),
      RUN,
    );
  });

  it("finds the nearest mark: reduced, at most half a mark away, and mark plus remainder is the length", () => {
    fc.assert(
      fc.property(lengths, denominators, (mm, denominator) => {
        const mark = nearestFraction(mm, { denominator: denominator as 64 });
        const { sign, whole, numerator, denominator: below, remainderMm } = mark;
        expect(denominator % below).toBe(0);
        expect(numerator).toBeLessThan(below);
        expect(numerator % 2 === 1 || below === 1).toBe(true);
        expect(Math.abs(remainderMm)).toBeLessThanOrEqual(25.4 / (2 * denominator) + 1e-12);
        const again = sign * (whole + numerator / below) * 25.4 + remainderMm;
        expect(Math.abs(again - mm)).toBeLessThanOrEqual(3e-11);
        const read = parseLength(mark.text.split(/ in(?: |$)/)[0], { unit: "in" });
        expect(Math.abs(read + remainderMm - mm)).toBeLessThanOrEqual(3e-11);
      }),
      RUN,
    );
  });

  it("rounds to the uncertainty: two figures kept, the value within half its last place", () => {
    const sizes = fc.integer({ min: -6, max: 4 });
    const figures = fc.double({ min: 1, max: 10, maxExcluded: true, noNaN: true });
    fc.assert(
      fc.property(lengths, figures, sizes, (value, lead, size) => {
        const uncertainty = lead * 10 ** size;
        const pair = roundToUncertainty(value, uncertainty);
        const step = 10 ** -pair.places;
        const [v, u] = [Number(pair.value.replace("−", "-")), Number(pair.uncertainty)];
        expect(Math.abs(v - value)).toBeLessThanOrEqual(step / 2 + 1e-10);
        expect(Math.abs(u - uncertainty)).toBeLessThanOrEqual(step * 0.5000001);
        const kept = Math.round(u / step);
        expect(kept).toBeGreaterThanOrEqual(10);
        expect(kept).toBeLessThanOrEqual(99);
        expect(pair.value).not.toMatch(/^−0(\.0*)?$/);
        const { text } = formatWithUncertainty(value, uncertainty, { unit: "mm" });
        expect(text).toBe(`${pair.value} mm, u = ${pair.uncertainty} mm`);
      }),
      RUN,
    );
  });
});
