import { describe, expect, it } from "vitest";
import { JOB_DEFAULTS } from "../../src/model/job/job.js";
import { renderMarkdown } from "../../src/render/page/markdown.js";
import { documents } from "./support/documents.js";

/** A page as HTML, without its pictures: a page of ours holds all it shows. */
const page = (text: string): string =>
  String(renderMarkdown(text.replaceAll(/!\[[^\]]*\]\([^)]*\)/g, ""), { place: "docs" }));
const displayed = (text: string): number => text.match(/^\$\$$/gm)?.length ?? 0;

describe("the equations of docs/model.md", () => {
  const { text } = documents().find(({ path }) => path === "docs/model.md")!;
  const made = page(text);

  it("are typeset, all of them: no dollar sign is left", () => {
    expect(displayed(text) / 2).toBeGreaterThan(10);
    expect(made.match(/<p class="katex-block"/g)).toHaveLength(displayed(text) / 2);
    expect(made.match(/<math/g)!.length).toBeGreaterThan(100);
    expect(made).not.toContain("$");
  });

  it("have their dollar signs in pairs and on lines of their own, as other viewers want them", () => {
    expect(displayed(text) % 2).toBe(0);
    const inline = text.replaceAll(/^\$\$$[\s\S]*?^\$\$$/gm, "");
    for (const line of inline.split("\n")) {
      expect((line.match(/\$/g)?.length ?? 0) % 2, line).toBe(0);
      for (const [, formula = ""] of line.matchAll(/\$([^$]*)\$/g))
        expect(formula, line).toMatch(/^\S(.*\S)?$/);
      // A bar would end the cell of a table.
      if (line.startsWith("|"))
        for (const [formula] of line.matchAll(/\$[^$]*\$/g)) expect(formula).not.toContain("|");
    }
  });

  it("stand beside the defaults of the code", () => {
    const { rampTrustedTo, stopTrustedTo, batchThickness, betweenCutAngle, betweenCutLength } = JOB_DEFAULTS;
    const { betweenCutThickness, gridOffset, gridTurn } = JOB_DEFAULTS;
    const degrees = (angle: number): string => `${Number(((angle * 180) / Math.PI).toFixed(4))}°`;
    expect(text).toContain(
      `a ramp ${degrees(rampTrustedTo)}, a stop ${stopTrustedTo} mm, the thickness of the batch ${batchThickness} mm`,
    );
    expect(text).toContain(
      `then ${degrees(betweenCutAngle)}, ${betweenCutLength} mm and ${betweenCutThickness} mm, and of a wall ${gridOffset} mm and ${degrees(gridTurn)}`,
    );
  });

  it("are refused when they cannot be read", () => {
    expect(() => page(text.replace("\\frac1\\tau", "\\frac1\\tua{"))).toThrow("a formula cannot be read");
  });
});
