import { execFileSync } from "node:child_process";
import { cpSync, mkdirSync, mkdtempSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { ROOT } from "./support/documents.js";

interface Named {
  readonly name: string;
  readonly entry: string;
  readonly declaration: string;
  readonly tags: readonly { readonly name: string; readonly text: string }[];
}

interface Ran {
  readonly name: string;
  /** How many expressions were compared with what the example says they give. */
  readonly compared: number;
  readonly wrong: readonly string[];
}

/** These work inside a notebook alone; the notebooks call them. */
const IN_NOTEBOOKS = ["show", "showPair", "showWide"];

const tool = join(ROOT, "test/tools/examples.mjs");
const { examplesProgram } = (await import(tool)) as { examplesProgram: (names: readonly Named[]) => string };
const folder = mkdtempSync(join(tmpdir(), "sukima-examples-"));

beforeAll(() => {
  cpSync(join(ROOT, "data"), join(folder, "data"), { recursive: true });
  mkdirSync(join(folder, "node_modules"));
  symlinkSync(ROOT, join(folder, "node_modules/sukima"));
});

afterAll(() => rmSync(folder, { recursive: true, force: true }));

const node = (...args: string[]): string =>
  execFileSync(process.execPath, args, { cwd: folder, maxBuffer: 1 << 26 }).toString();

function ran(names: readonly Named[]): readonly Ran[] {
  writeFileSync(join(folder, "examples.mjs"), examplesProgram(names));
  // Examples may print; what was found is the last line.
  const last = node("examples.mjs").trimEnd().split("\n").at(-1) ?? "";
  return JSON.parse(last) as readonly Ran[];
}

describe("the examples of the public names", () => {
  const names = JSON.parse(node(join(ROOT, "test/tools/api.mjs"), "--json")) as readonly Named[];
  const shown = names.filter(({ name }) => !IN_NOTEBOOKS.includes(name));

  it("give what they say", () => {
    const all = ran(shown);
    expect(all.length).toBeGreaterThan(100);
    expect(all.filter(({ wrong }) => wrong.length > 0)).toEqual([]);
    expect(all.filter(({ compared }) => compared === 0)).toEqual([]);
  });

  it("are seen when they do not", () => {
    const wrong = { name: "example", text: 'loadJob("data/alcove-screen").opening // 61' };
    const seen = ran(shown.map((one) => ({ ...one, tags: one.name === "loadJob" ? [wrong] : [] })));
    expect(seen[0]?.wrong[0]).toContain("gives 60, not 61");
  });
});
