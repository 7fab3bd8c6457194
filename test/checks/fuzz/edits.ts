import fc from "fast-check";
import { BOUNDS, type FuzzReport } from "./run-fuzz.js";
import { LOOK_ALIKES, STRESSES } from "./stresses.js";

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
      does: fc.constant("line" as const),
      at: share,
      to: share,
      way: fc.constantFrom("twice" as const, "swap" as const, "gone" as const),
    }),
  },
  { weight: 6, arbitrary: fc.record({ does: fc.constant("number" as const), at: share, put: number }) },
  {
    weight: 3,
    arbitrary: fc.record({
      does: fc.constant("word" as const),
      at: share,
      put: fc.constantFrom(...STRESSES.words),
    }),
  },
  { weight: 2, arbitrary: fc.record({ does: fc.constant("look-alike" as const), at: share }) },
  {
    weight: 2,
    arbitrary: fc.record({
      does: fc.constant("indent" as const),
      at: share,
      by: fc.integer({ min: -4, max: 4 }),
    }),
  },
  {
    weight: 4,
    arbitrary: fc.record({
      does: fc.constant("value" as const),
      at: share,
      put: fc.constantFrom(...STRESSES.values),
    }),
  },
  {
    weight: 1,
    arbitrary: fc.record({
      does: fc.constant("encode" as const),
      as: fc.constantFrom("utf-16", "latin-1", "mark", "broken", "returns"),
    }),
  },
);

/** A table grown by a power of ten, to a million rows: seldom, since each takes long. */
const longer: fc.Arbitrary<Edit> = fc.record({
  does: fc.constant("rows" as const),
  at: share,
  times: fc.constantFrom(10, 100, 1000, 10_000, 1_000_000),
});

/** One to four edits. */
export const edits: fc.Arbitrary<readonly Edit[]> = fc.oneof(
  { weight: 250, arbitrary: fc.tuple(edit) },
  { weight: 150, arbitrary: fc.array(edit, { minLength: 2, maxLength: 4 }) },
  { weight: 1, arbitrary: fc.tuple(longer) },
);

/** No text grows beyond this, characters: the largest file that is read, and a little more. */
const LONGEST = 6_000_000;

/** The bytes of a text after the edits. */
export function applyEdits(text: string, edits: readonly Edit[]): Uint8Array {
  let now = text;
  let bytes: Uint8Array | null = null;
  for (const edit of edits) {
    if (edit.does === "encode") bytes = encoded(now, edit.as);
    else {
      now = edited(now, edit).slice(0, LONGEST);
      bytes = null;
    }
  }
  return bytes ?? Buffer.from(now, "utf8");
}

function edited(text: string, edit: Exclude<Edit, { does: "encode" }>): string {
  const at = Math.floor(edit.at * text.length);
  switch (edit.does) {
    case "truncate":
      return text.slice(0, at);
    case "cut":
      return text.slice(0, at) + text.slice(at + Math.ceil(edit.length * text.length));
    case "insert":
      return text.slice(0, at) + edit.put + text.slice(at);
    case "copy": {
      const from = Math.floor(edit.from * text.length);
      return (
        text.slice(0, at) + text.slice(from, from + Math.ceil(edit.length * text.length)) + text.slice(at)
      );
    }
    case "line":
      return lines(text, edit);
    case "number":
      return replaced(text, /-?\d+(\.\d+)?/g, edit.at, () => edit.put);
    case "word":
      return replaced(text, /[A-Za-z][\w-]*/g, edit.at, () => edit.put);
    case "value":
      return replaced(text, /(?<=[:,] ?)[^\n,:{}[\]]+/g, edit.at, () => ` ${edit.put}`);
    case "look-alike":
      return replaced(text, /[acdeimnopsxy.,:\-015/'" ]/g, edit.at, (sign) => LOOK_ALIKES[sign]!);
    case "indent":
      return replaced(text, /^ *(?=\S)/gm, edit.at, (indent) =>
        " ".repeat(Math.max(0, indent.length + edit.by)),
      );
    case "rows": {
      const all = text.split("\n");
      const line = `${all[Math.floor(edit.at * all.length)] ?? ""}\n`;
      return `${text}\n${line.repeat(Math.min(edit.times, Math.ceil(LONGEST / line.length)))}`;
    }
  }
}

function lines(text: string, { at, to, way }: Extract<Edit, { does: "line" }>): string {
  const all = text.split("\n");
  const [i, j] = [at, to].map((share) => Math.min(all.length - 1, Math.floor(share * all.length))) as [
    number,
    number,
  ];
  if (way === "gone") all.splice(i, 1);
  else if (way === "twice") all.splice(j, 0, all[i]!);
  else [all[i], all[j]] = [all[j]!, all[i]!];
  return all.join("\n");
}

/** The match at a share of all matches, replaced. */
function replaced(text: string, what: RegExp, share: number, by: (found: string) => string): string {
  const found = [...text.matchAll(what)];
  const match = found[Math.min(found.length - 1, Math.floor(share * found.length))];
  if (match === undefined) return text;
  return text.slice(0, match.index) + by(match[0]) + text.slice(match.index + match[0].length);
}

function encoded(text: string, as: Extract<Edit, { does: "encode" }>["as"]): Uint8Array {
  switch (as) {
    case "utf-16":
      return Buffer.from(`\uFEFF${text}`, "utf16le");
    case "latin-1":
      return Buffer.from(`${text}°é`, "latin1");
    case "mark":
      return Buffer.from(`\uFEFF${text}`, "utf8");
    case "broken":
      return Buffer.concat([Buffer.from(text, "utf8"), Buffer.from([0xc3, 0x28, 0xff])]);
    case "returns":
      return Buffer.from(text.replaceAll("\n", "\r\n"), "utf8");
  }
}

/** A report in words, its findings last. */
export function fuzzText({ cases, seed, counts, findings, seconds, peakMb }: FuzzReport): string {
  const rows = counts.map(({ subject, accepted, refused, shapes, slowest }) =>
    [
      subject.padEnd(10),
      String(accepted).padStart(9),
      String(refused).padStart(9),
      String(shapes.length).padStart(9),
      `${(100 * slowest).toFixed(1)} %`.padStart(12),
    ].join(""),
  );
  const kinds = counts.reduce((sum, { shapes }) => sum + shapes.length, 0);
  return [
    `${cases} cases, seed ${seed}: ${seconds.toFixed(1)} s, at most ${Math.round(peakMb)} MB in memory, ${kinds} kinds of refusal, ${findings.length} that must not be.`,
    `A case may take ${BOUNDS.fixedMs / 1000} s and ${1000 * BOUNDS.msPerByte} µs a byte, and ${BOUNDS.heapMb} MB of JavaScript's memory; the last column is the most that one took of its time.`,
    "",
    `${"read".padEnd(10)}${"accepted".padStart(9)}${"refused".padStart(9)}${"kinds".padStart(9)}${"slowest".padStart(12)}`,
    ...rows,
    ...findings.map(
      ({ index, subject, what, bytes, stack }) =>
        `\n${subject}, case ${index}, ${bytes} bytes: ${what}\n${stack}`,
    ),
    "",
  ].join("\n");
}
