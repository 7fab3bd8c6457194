import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, resolve, sep } from "node:path";
import { describe, expect, it } from "vitest";

const SRC = resolve(import.meta.dirname, "../src");

/** Where running begins: the public names, the commands, and what checks the project from beside. */
const MAINS = [
  ...["index.ts", "cli/main.ts", "bench/main.ts", "fuzz/main.ts", "study/main.ts", "validate/main.ts"],
  ...["explain/study.ts", "play/bundle-page.mjs", "play/browser/main.ts"],
];

/** Plain ways that tests hold the fast ones to. */
const PLAIN = ["numeric/elliptical-slice.ts: logWeights"];

interface Source {
  /** Relative to `src`, with slashes. */
  readonly path: string;
  readonly text: string;
}

/** A file started by its address (a worker) counts as imported. */
const REACHES = /(?:from|import|URL)\s*\(?\s*"(\.[^"]+)"/g;

const withoutComments = (text: string): string => text.replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, "");

function unreached(sources: readonly Source[], mains: readonly string[]): string[] {
  const texts = new Map(sources.map(({ path, text }) => [path, withoutComments(text)]));
  const seen = new Set<string>();
  const open = [...mains];
  for (let path = open.pop(); path !== undefined; path = open.pop()) {
    const text = texts.get(path);
    if (text === undefined || seen.has(path)) continue;
    seen.add(path);
    for (const [, target] of text.matchAll(REACHES))
      open.push(join(dirname(path), target!.replace(/\.js$/, ".ts")).split(sep).join("/"));
  }
  return [...texts.keys()].filter((path) => !seen.has(path));
}

const EXPORTED = /^export (?:async )?(?:function\*?|const|class|interface|type) (\w+)/gm;

/** Exported names that stand nowhere in `src` but where they are made. */
function unused(sources: readonly Source[]): string[] {
  const times = new Map<string, number>();
  for (const { text } of sources)
    for (const [word] of withoutComments(text).matchAll(/\w+/g)) times.set(word, (times.get(word) ?? 0) + 1);
  return sources.flatMap(({ path, text }) =>
    [...text.matchAll(EXPORTED)]
      .filter(([, name]) => times.get(name!) === 1)
      .map(([, name]) => `${path}: ${name}`),
  );
}

const sources = readdirSync(SRC, { recursive: true, withFileTypes: true })
  .filter((entry) => entry.isFile() && /(?<!\.d)\.(ts|mjs)$/.test(entry.name))
  .map((entry) => join(entry.parentPath, entry.name))
  .map((path) => ({ path: relative(SRC, path).split(sep).join("/"), text: readFileSync(path, "utf8") }));

describe("nothing is kept that only tests use", () => {
  it("every file is reached from where running begins", () => {
    expect(sources.length).toBeGreaterThan(500);
    expect(unreached(sources, MAINS)).toEqual([]);
  });

  it("every exported name is used in src or public", () => {
    expect(unused(sources).filter((name) => !PLAIN.includes(name))).toEqual([]);
  });

  it("is seen when it is", () => {
    const lonely: Source[] = [
      { path: "index.ts", text: 'export { used } from "./a/used.js";' },
      { path: "a/used.ts", text: "/** As lost. */\nexport const used = 1;" },
      { path: "a/lost.ts", text: "export const lost = 2;" },
    ];
    expect(unreached(lonely, ["index.ts"])).toEqual(["a/lost.ts"]);
    expect(unused(lonely)).toEqual(["a/lost.ts: lost"]);
  });
});
