import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { ROOT } from "./support/documents.js";

interface PublicName {
  readonly name: string;
  readonly from: string;
  readonly doc: string;
  readonly tags: readonly { readonly name: string; readonly text: string }[];
  readonly declaration: string;
  /** Members that are numbers or hold some, with the comment each stands under. */
  readonly numbers: readonly { readonly name: string; readonly comment: string }[];
}

/** What a number can be of: a unit, a share or chance, or a count of something. */
const KIND =
  /\b(mm²?|rad|radians?|degrees?|inch(es)?|thou|per cent|shares?|chances?|probabilit\w+|odds|counts?|number of|how many|whole|factor|ratio|correlation|digits|decimals|index|places?|seed|costs?|minutes|seconds|pixels?|standard deviations?|standard normals?|units?|variances?|weights?)\b|[%°²]|\b0 (to|…) 1\b/i;

const takesNumbers = ({ declaration }: PublicName): boolean =>
  /\b(number|Float64Array)\b/.test(declaration.replace(/\/\*[\s\S]*?\*\/|\[number\]/g, ""));

const saysWhatOf = ({ doc, tags, declaration }: PublicName): boolean => {
  const comments = declaration.match(/\/\*[\s\S]*?\*\//g) ?? [];
  return KIND.test([doc, ...tags.map(({ text }) => text), ...comments].join("\n"));
};

const printed = execFileSync(process.execPath, [join(ROOT, "test/tools/api.mjs"), "--json"], {
  maxBuffer: 1 << 26,
});
const names = JSON.parse(printed.toString()) as readonly PublicName[];
const called = ({ from, name }: Pick<PublicName, "from" | "name">): string => `${from}: ${name}`;

describe("the public names", () => {
  it("each say what they are", () => {
    expect(names.length).toBeGreaterThan(300);
    expect(names.filter(({ doc }) => doc.trim() === "").map(called)).toEqual([]);
  });

  it("say what their numbers are of", () => {
    expect(names.filter(takesNumbers).length).toBeGreaterThan(100);
    expect(names.filter((name) => takesNumbers(name) && !saysWhatOf(name)).map(called)).toEqual([]);
  });

  it("say it of each member by itself", () => {
    const members = names.flatMap(({ from, numbers }) => numbers.map((member) => ({ from, ...member })));
    expect(members.length).toBeGreaterThan(350);
    expect(members.filter(({ comment }) => !KIND.test(comment)).map(called)).toEqual([]);
  });

  it("are seen when they do not", () => {
    const bare = {
      numbers: [],
      name: "x",
      from: "y",
      doc: "Opens it.",
      tags: [],
      declaration: "declare const x: (by: number) => void;",
    };
    expect(takesNumbers(bare) && !saysWhatOf(bare)).toBe(true);
    expect(saysWhatOf({ ...bare, doc: "Opens it by so many mm." })).toBe(true);
  });
});
