import fc from "fast-check";
import { STRESSES } from "./stresses.js";

/** One thing done to a text. Places and lengths are shares of the text, 0 to 1, so that the same edits fit any text. */
export type Edit =
  | { readonly does: "cut"; readonly at: number; readonly length: number }
  | { readonly does: "truncate"; readonly at: number }
  | { readonly does: "insert"; readonly at: number; readonly put: string }
  | { readonly does: "copy"; readonly at: number; readonly from: number; readonly length: number }
  | {
      readonly does: "line";
      readonly at: number;
      readonly to: number;
      readonly way: "twice" | "swap" | "gone";
    }
  | { readonly does: "number" | "word"; readonly at: number; readonly put: string }
  | { readonly does: "look-alike"; readonly at: number }
  | { readonly does: "indent"; readonly at: number; readonly by: number }
  | { readonly does: "value"; readonly at: number; readonly put: string }
  | { readonly does: "rows"; readonly at: number; readonly times: number }
  | { readonly does: "encode"; readonly as: "utf-16" | "latin-1" | "mark" | "broken" | "returns" };

// Without the library's liking for ends and zeros: every place of a text is as likely.
const part = (most: number) => fc.noBias(fc.nat(1_000_000)).map((n) => (most * n) / 1_000_000);
const share = part(1);
const few = part(0.05);
const put = fc.oneof(
  { weight: 4, arbitrary: fc.constantFrom(...STRESSES.signs) },
  { weight: 1, arbitrary: fc.string({ unit: "binary", maxLength: 6 }) },
  { weight: 1, arbitrary: fc.string({ unit: "grapheme", maxLength: 6 }) },
);
const number = fc.oneof(
  fc.constantFrom(...STRESSES.numbers),
  fc.double().map(String),
  fc.integer({ min: -1000, max: 1000 }).map(String),
);

const edit: fc.Arbitrary<Edit> = fc.oneof(
  { weight: 4, arbitrary: fc.record({ does: fc.constant("cut" as const), at: share, length: few }) },
  { weight: 2, arbitrary: fc.record({ does: fc.constant("truncate" as const), at: share }) },
  { weight: 5, arbitrary: fc.record({ does: fc.constant("insert" as const), at: share, put }) },
  {
    weight: 3,
    arbitrary: fc.record({ does: fc.constant("copy" as const), at: share, from: share, length: few }),
  },
  {
    weight: 5,
    arbitrary: fc.record({
      ...{ does: fc.constant("line" as const), at: share, to: share },
      way: fc.constantFrom("twice" as const, "swap" as const, "gone" as const),
    }),
  },
  { weight: 6, arbitrary: fc.record({ does: fc.constant("number" as const), at: share, put: number }) },
  {
    weight: 3,
    arbitrary: fc.record({
      ...{ does: fc.constant("word" as const), at: share, put: fc.constantFrom(...STRESSES.words) },
    }),
  },
  { weight: 2, arbitrary: fc.record({ does: fc.constant("look-alike" as const), at: share }) },
  {
    weight: 2,
    arbitrary: fc.record({
      ...{ does: fc.constant("indent" as const), at: share, by: fc.integer({ min: -4, max: 4 }) },
    }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      ...{ does: fc.constant("value" as const), at: share, put: fc.constantFrom(...STRESSES.values) },
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      ...{ does: fc.constant("encode" as const) },
      as: fc.constantFrom("utf-16", "latin-1", "mark", "broken", "returns"),
    }),
  },
);

/** A table grown by a power of ten, to a million rows: seldom, since each takes long. */
const longer: fc.Arbitrary<Edit> = fc.record({
  ...{ does: fc.constant("rows" as const), at: share },
  times: fc.constantFrom(10, 100, 1000, 10_000, 1_000_000),
});

/** One to four edits. */
export const edits: fc.Arbitrary<readonly Edit[]> = fc.oneof(
  { weight: 250, arbitrary: fc.tuple(edit) },
  { weight: 150, arbitrary: fc.array(edit, { minLength: 2, maxLength: 4 }) },
  { weight: 1, arbitrary: fc.tuple(longer) },
);
