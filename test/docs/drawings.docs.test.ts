import { execFileSync } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { documents, ROOT } from "./support/documents.js";
import { modelCoordinates } from "./support/model-coordinates.js";

const MAIN = join(ROOT, "dist/cli/main.js");
const folder = mkdtempSync(join(tmpdir(), "sukima-drawings-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** A drawing as a command makes it today. */
function drawn(...command: string[]): string {
  const file = join(folder, "now.svg");
  execFileSync(process.execPath, [MAIN, ...command, "--out", file], { cwd: ROOT });
  return readFileSync(file, "utf8");
}

const kept = (name: string): string => readFileSync(join(ROOT, "docs", name), "utf8");
const patterns = readdirSync(join(ROOT, "data/patterns")).map((file) => basename(file, ".yaml"));

describe("the drawings in the docs are those that their commands make", () => {
  it.each(patterns)("docs/patterns/%s.svg", (name) => {
    expect(kept(`patterns/${name}.svg`) === drawn("pattern", name)).toBe(true);
  });

  it("docs/patterns has one of each pattern, every one shown in docs/patterns.md, and no other", () => {
    expect(readdirSync(join(ROOT, "docs/patterns")).sort()).toEqual(
      patterns.map((name) => `${name}.svg`).sort(),
    );
    const { text } = documents().find(({ path }) => path === "docs/patterns.md")!;
    for (const name of patterns) expect(text).toContain(`](patterns/${name}.svg)`);
  });

  it("docs/names.svg, which job-files.md shows", () => {
    expect(kept("names.svg") === drawn("draw", "names", "--job", "data/alcove-screen")).toBe(true);
    expect(readFileSync(join(ROOT, "docs/job-files.md"), "utf8")).toContain("](names.svg)");
  });

  it("docs/model-coordinates.svg, which model.md shows (run with -u to draw it anew)", async () => {
    await expect(modelCoordinates()).toMatchFileSnapshot(join(ROOT, "docs/model-coordinates.svg"));
    expect(readFileSync(join(ROOT, "docs/model.md"), "utf8")).toContain("](model-coordinates.svg)");
  });

  it("docs/panel.svg", () => {
    expect(kept("panel.svg") === drawn("draw", "panel", "--job", "data/alcove-screen")).toBe(true);
  });

  it("docs/cell-front-and-back.svg", () => {
    expect(kept("cell-front-and-back.svg") === drawn("draw", "cell", "--job", "data/leaning-ramp")).toBe(
      true,
    );
  });

  it("docs/cell-as-cut.svg, which the README shows, in all but which of two equal joints is named", () => {
    const { text } = documents().find(({ path }) => path === "README.md")!;
    expect(text).toContain("](docs/cell-as-cut.svg)");
    // It rests on a fit, whose last digits another Node may round otherwise.
    const said = (svg: string): string =>
      /<desc>(.*?)<\/desc>/s.exec(svg)![1]!.replaceAll(/(at the \w+ of )\S+ on \S+/g, "$1a joint.");
    const now = said(drawn("draw", "cell-before", "--job", "data/alcove-screen"));
    expect(said(kept("cell-as-cut.svg"))).toBe(now);
    expect(now).toMatch(/^The cell as the jigs are now .*Widest gap 0\.\d+ mm at the toe of/);
  });

  it("docs/three-way-panel.svg, as far as its figures are told", () => {
    const told = (svg: string): string => /<desc>(.*?)<\/desc>/s.exec(svg)![1]!;
    const now = told(drawn("draw", "panel-fails", "--job", "test/features/panel/support/triangles.yaml"));
    expect(told(kept("three-way-panel.svg"))).toBe(now);
    expect(now).toMatch(/for 2 × 5 triangles, from \d/);
  });

  it("and another cell's drawing is another", () => {
    expect(kept("patterns/diamond.svg") === drawn("pattern", "diamond", "--size", "height=50")).toBe(false);
  });
});
