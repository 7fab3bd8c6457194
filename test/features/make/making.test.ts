import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { fittingOrder } from "../../../src/features/make/fitting-order.js";
import { jigDrawing } from "../../../src/features/make/jig-drawing.js";
import type { JigPlan } from "../../../src/features/make/jig-plan.js";
import { lapDrawing } from "../../../src/features/make/lap-drawing.js";
import { makeCommand } from "../../../src/features/make/make-report.js";
import { makeText } from "../../../src/features/make/make-text.js";
import { planMaking } from "../../../src/features/make/making.js";
import { makePictures } from "../../../src/features/make/pictures.js";
import { newJob } from "../../../src/features/new/new-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { CAUTIONS } from "../../../src/render/cautions.js";
import { DEMO } from "../../inference/demo.js";
import { inFolder } from "../../io/in-folder.js";
import { writtenIn } from "../../render/svg-elements.js";

import { bladeSlope, checkFitting, checkJigs, starter } from "./support/checks.js";

const DEMO_MAKING = planMaking(loadJob(DEMO));

checkJigs("asanoha-square", "in");
checkFitting("asanoha-square");

describe("the laps", () => {
  it("add up to the opening: cells and strips between the borders", () => {
    const { laps, job } = DEMO_MAKING;
    const { rows, columns } = job.panel!;
    const clear = (cells: number): number => cells * job.opening + (cells - 1) * job.strip;
    expect(laps!.strips.map(({ sum }) => sum)).toEqual([
      expect.closeTo(clear(rows), 9),
      expect.closeTo(clear(columns), 9),
    ]);
    for (const { spacing, firstEdge, width, between, places, count, name } of laps!.strips) {
      expect(spacing).toBeCloseTo(job.opening + job.strip, 9);
      // The first opening ends where the strip begins that lies in the middle of its lap.
      expect(firstEdge + width / 2 - job.strip / 2).toBeCloseTo(job.opening, 9);
      expect(between! + width).toBeCloseTo(spacing!, 9);
      expect(places.length).toBe((name.endsWith("upright") ? rows : columns) - 1);
      expect(count).toBe((name.endsWith("upright") ? columns : rows) - 1);
    }
  });

  it("of a three-way grid lie a triangle's side and √3 strips apart, wider along the strip by 1/sin 60°", () => {
    const { laps, job } = planMaking(starter("asanoha-triangular"));
    expect(laps!.strips.length).toBeGreaterThan(2);
    for (const plan of laps!.strips) {
      if (plan.spacing !== null) expect(plan.spacing).toBeCloseTo(job.opening + Math.sqrt(3) * job.strip, 9);
      expect(plan.along).toBeCloseTo((2 / Math.sqrt(3)) * plan.width, 9);
      expect(plan.sum).toBeCloseTo(plan.length, 9);
    }
  });

  it("are drawn at their places", () => {
    const { laps, job } = DEMO_MAKING;
    const drawing = lapDrawing(laps!, job, { width: 640 });
    expect(writtenIn(drawing).join(" ")).toContain("62.00 mm + 3 × 64.00 mm + 62.00 mm = 316.00 mm");
  });

  it("are not there for a job without a panel, which the text says", () => {
    const job = starter("diamond", "mm", (text) => text.replace("panel:", "# panel:"));
    const plan = planMaking(job);
    expect(plan.laps).toBeNull();
    expect(makeText(plan, false)).toMatch(/no section panel/);
  });
});

describe("how exact a thing must be", () => {
  it("for a point's ramp is half the gap limit over half the face of the cut", () => {
    const { needed, job } = DEMO_MAKING;
    // A diagonal's point, held between two corners, opens at its heel by the angle times the face, (t/2)/cos 45°.
    const face = job.strip / 2 / Math.cos(Math.PI / 4);
    expect(needed.ramps.get("point-45")!.more).toBeCloseTo((0.5 * job.limits.gap) / face, 9);
  });

  it("is asked of the run and of a leaf in proportion", () => {
    const { jigs } = DEMO_MAKING;
    const plan = jigs.find(({ name }) => name === "point-67") as JigPlan;
    const least = Math.min(plan.accuracy.more!, plan.accuracy.less!);
    const step = 1e-6;
    const slope = (plan.wedge.rise * (Math.tan(plan.ramp + step) - Math.tan(plan.ramp - step))) / (2 * step);
    expect(plan.runAccuracy).toBeCloseTo(slope * least, 6);
    expect(Math.atan(plan.leafAccuracy! / plan.feet!)).toBeCloseTo(least, 10);
  });
});

describe("a ramp whose fence bears on the short side", () => {
  const job = starter("asanoha-square", "mm", (text) =>
    text.replaceAll("long-side", "short-side").replaceAll("centred", "short-side"),
  );

  it("overhangs, and its drawn face leans the other way", () => {
    for (const plan of planMaking(job).jigs) {
      expect(plan.wedge.overhangs).toBe(true);
      expect(plan.wedge.top).toBeCloseTo(plan.wedge.length + plan.wedge.run, 9);
      expect(plan.fromBed).toBeCloseTo(Math.PI / 2 + plan.ramp, 12);
      expect(Math.abs(Math.atan(bladeSlope(jigDrawing(plan, job, { width: 640 }))) + plan.ramp)).toBeLessThan(
        2e-3,
      );
      for (const stop of plan.stops) expect(stop.toToe).toBeGreaterThan(stop.setting);
    }
  });
});

describe("what is printed", () => {
  it("begins with at most fifteen lines before the cautions", () => {
    const lines = makeText(DEMO_MAKING, false).split("\n");
    expect(lines.indexOf("TAKE CARE")).toBeGreaterThan(5);
    expect(lines.indexOf("TAKE CARE")).toBeLessThanOrEqual(16);
  });

  it("has pictures whose names are file names, whatever a jig is called", () => {
    const job = starter("diamond", "mm", (text) => text.replaceAll("point-36", '"../=a|b"'));
    const names = makePictures(job).map(({ name }) => name);
    expect(names[0]).toMatch(/^jig-/);
    for (const name of names) expect(name).toMatch(/^[\p{L}\p{N}._-]+$/u);
    expect(fittingOrder(job).length).toBe(1);
  });
});

describe("the command", () => {
  const today = new Date("2026-01-02");

  it("writes a page in which nothing runs and nothing is loaded, with the cautions", () => {
    const out = join(inFolder({}), "make.html");
    const folder = join(inFolder({}), "screen");
    const [file = ""] = newJob(folder, "in", "diamond");
    writeFileSync(
      file,
      readFileSync(file, "utf8").replace(/^title: .*$/m, 'title: "<script>alert(1)</script>"'),
    );
    expect(makeCommand(folder, { out }, today)).toContain(`Written: ${out}`);
    const page = readFileSync(out, "utf8");
    expect(page).toContain("default-src 'none'");
    expect(page).toContain("size: letter");
    expect(page).not.toMatch(/<script|style="|unsafe-inline/);
    expect(page).toContain("&lt;script&gt;");
    for (const caution of CAUTIONS) expect(page).toContain(caution);
    expect(page).toContain("Common practice, no source.");
  });

  it("refuses a page that is none, and tells the numbers of the drawings as data", () => {
    expect(() => makeCommand(DEMO, { out: "make.pdf" }, today)).toThrow(/ending in \.html; got “make\.pdf”/);
    const data = JSON.parse(makeCommand(DEMO, { json: true }, today));
    const bevel = data.jigs.find(({ name }: { name: string }) => name === "bevel-22");
    // docs/making.md works these out by hand.
    expect(bevel.wedge.run).toBeCloseTo(40 * Math.tan(Math.PI / 8), 9);
    expect(bevel.fromBedDegrees).toBeCloseTo(67.5, 9);
    expect(bevel.stops[0].stick).toBeCloseTo(95 - 43.757, 3);
    expect(data.laps.strips[0].sum).toBeCloseTo(316, 9);
    expect(data.steps.map(({ fresh }: { fresh: string[] }) => fresh.length)).toEqual([1, 4, 2]);
  });
});
