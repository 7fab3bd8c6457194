import { existsSync } from "node:fs";
import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { type Document, documents, ROOT } from "./support/documents.js";

const withoutCode = (text: string): string => text.replace(/^```[\s\S]*?^```$/gm, "");

/** Anchors of a page's headings, as they are made on the pages where projects are shown: small letters, no marks, a hyphen for a space. */
function anchors(text: string): readonly string[] {
  const headings = [...withoutCode(text).matchAll(/^#{1,6} +(.+)$/gm)].map((match) => match[1]!);
  return headings.map((heading) =>
    heading
      .toLowerCase()
      .replace(/[^\p{L}\p{N} _-]/gu, "")
      .replaceAll(" ", "-"),
  );
}

function broken({ path, text }: Document, all: readonly Document[]): readonly string[] {
  const links = [...withoutCode(text).matchAll(/\]\(([^)\s]+)\)/g)].map((match) => match[1]!);
  return links.flatMap((link) => {
    if (/^(https?:|data:)/.test(link)) return [];
    const [file = "", anchor] = link.split("#");
    const target = file === "" ? path : join(dirname(path), file);
    if (!existsSync(join(ROOT, target))) return [`${path}: ${link} is not there`];
    if (anchor === undefined) return [];
    const page = all.find((one) => one.path === target);
    return page && anchors(page.text).includes(anchor) ? [] : [`${path}: ${link} has no such heading`];
  });
}

/** Files of the project that a text names in code marks: `src/cli`, `docs/model.md`, `test/predict/lean.test.ts`. */
function missingFiles({ path, text }: Document): readonly string[] {
  const named = [...text.matchAll(/`((?:src|test|docs|data|notebooks|scripts)\/[\w./-]+)`/g)].map(
    (match) => match[1]!,
  );
  const written = ["docs/api.md"];
  return named
    .filter((name) => !written.includes(name) && !name.includes("NAME") && !existsSync(join(ROOT, name)))
    .map((name) => `${path}: \`${name}\` is not there`);
}

describe("what the docs point to", () => {
  const all = documents();

  it("is there: pages, pictures and headings", () => {
    expect(all.length).toBeGreaterThan(15);
    expect(all.flatMap((page) => broken(page, all))).toEqual([]);
  });

  it("is there: files named in code marks", () => {
    expect(all.flatMap(missingFiles)).toEqual([]);
  });

  it("is missed when it is not there", () => {
    const page = {
      path: "docs/glossary.md",
      text: "# A b\n[a](#a-b) [b](#c) [c](model.md#nothing) [d](gone.svg) `src/gone.ts`",
    };
    expect(broken(page, [page, ...all])).toHaveLength(3);
    expect(missingFiles(page)).toHaveLength(1);
  });
});
