import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { parseNotebook, textOf } from "../../src/render/notebook/notebook.js";
import { NOTEBOOKS } from "./run-all.js";

const FOLDER = resolve(import.meta.dirname, "../../notebooks");
/** What a lesson has, in this order. */
const PARTS = [
  /^\*\*The question\.\*\*/m,
  /^## Guess first$/m,
  /^## The idea: /m,
  /^## The answer$/m,
  /^## Exercises$/m,
  /^## Further reading$/m,
];
const WIDEST_LINE = 99;

describe.each(NOTEBOOKS)("the lesson of %s", (name) => {
  const path = resolve(FOLDER, `${name}.ipynb`);
  const { cells } = parseNotebook(JSON.parse(readFileSync(path, "utf8")), name);
  const prose = cells.filter((cell) => cell.cell_type === "markdown").map(({ source }) => textOf(source));
  const code = cells.flatMap((cell) => (cell.cell_type === "code" ? [textOf(cell.source)] : []));

  it("asks, lets guess, shows the idea, answers, sets exercises and reads on", () => {
    const text = prose.join("\n\n");
    const places = PARTS.map((part) => text.search(part));
    expect(places.every((place) => place >= 0)).toBe(true);
    expect(places).toEqual(places.toSorted((a, b) => a - b));
  });

  it("draws its idea, and asserts before and in its answers", () => {
    const idea = cells.findIndex(
      (cell) => cell.cell_type === "markdown" && /^## The idea: /m.test(textOf(cell.source)),
    );
    const next = cells.slice(idea + 1).find((cell) => cell.cell_type === "code");
    expect(next === undefined ? "" : textOf(next.source)).toMatch(/notebook\.(?:showPair|showWide)\(/);
    expect(code.filter((source) => /\bcheck\(/.test(source)).length).toBeGreaterThanOrEqual(4);
  });

  it("has narrow code, and no outputs", () => {
    for (const line of code.flatMap((source) => source.split("\n")))
      expect(line.length, line).toBeLessThanOrEqual(WIDEST_LINE);
    for (const cell of cells) if (cell.cell_type === "code") expect(cell.outputs).toEqual([]);
  });
});
