import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { seasonCommand } from "../../../src/features/season/season-report.js";
import { predictSeason, seasonDirections } from "../../../src/features/season/season-year.js";
import { asCutErrors } from "../../../src/model/cell/cell-errors.js";
import type { Job } from "../../../src/model/job/job.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import type { Climate, Season } from "../../../src/model/job/season.js";
import { ownWood } from "../../../src/model/wood/wood.js";
import { faceStates } from "../../../src/physics/predict/face-states.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { DEMO, demoJob } from "../../inference/demo.js";
import { userError } from "../../user-error.js";

const at = (name: string, moisture: number): Climate => ({ name, air: null, moisture });
const wood = ownWood("own", { radial: 0.0025, tangential: 0.0025 });

/** A season in which nothing is unsure. */
const sure = (shop: number, ...year: number[]): Season => ({
  infill: { wood, rings: 0 },
  grid: { wood, rings: 0 },
  shop: at("shop", shop),
  year: year.map((moisture, i) => at(`state ${i}`, moisture)),
  coefficientTrustedTo: 0,
  moistureTrustedTo: 0,
  ringsTrustedTo: 0,
});
const jobWith = (season: Season): Job => ({ ...demoJob, season });
const few = { cells: 300 };

describe("what growing across does to a cut piece", () => {
  const cell = jobCell(demoJob);
  const strain = 0.01;

  it("leaves every face on the nominal one stretched sideways, to second order", () => {
    const { infill } = seasonDirections(cell);
    const before = faceStates(cell, new Float64Array(infill.length));
    const after = faceStates(
      cell,
      infill.map((slope) => slope * strain),
    );
    for (const [i, face] of cell.faces.entries()) {
      if (face.kind === "wall") continue;
      const { axis } = cell.pieces[face.body]!;
      // Two points of the nominal face in the piece's own frame, stretched, must lie on the new face.
      const nominal = before.angle[i]! - axis;
      const grown = after.angle[i]! - axis;
      for (const along of [-1.5, 1.5]) {
        const x = before.offset[i]! * Math.cos(nominal) - along * Math.sin(nominal);
        const y = (before.offset[i]! * Math.sin(nominal) + along * Math.cos(nominal)) * (1 + strain);
        const off = x * Math.cos(grown) + y * Math.sin(grown) - after.offset[i]!;
        // Half a strip's length of face turned by strain².
        expect(Math.abs(off), face.name).toBeLessThan(60 * strain ** 2);
        if (face.kind === "side") expect(Math.abs(off)).toBeLessThan(1e-12);
      }
    }
  });

  it("moves a wall by half its strip", () => {
    const { grid, infill } = seasonDirections(cell, 10);
    expect([...grid].filter((slope) => slope !== 0)).toEqual([5, 5, 5, 5]);
    expect(infill.filter((slope, i) => slope !== 0 && grid[i] !== 0)).toHaveLength(0);
  });
});

describe("the gap through the year", () => {
  it("alone is what the readable solver finds for bevels turned exactly", () => {
    const year = predictSeason(jobWith(sure(10, 7, 13)), few);
    const cell = jobCell(demoJob);
    for (const [i, moisture] of [7, 13].entries()) {
      const strain = 0.0025 * (moisture - 10);
      const errors = asCutErrors(cell, {
        pieces: Object.fromEntries(
          cell.pieces.map(({ name, cuts }) => [
            name,
            {
              thickness: cell.strip * strain,
              cuts: Object.fromEntries(
                cuts.map(({ face, jigAngle }) => [
                  face,
                  { angle: Math.atan(Math.tan(jigAngle) / (1 + strain)) - jigAngle },
                ]),
              ),
            },
          ]),
        ),
        walls: Object.fromEntries(
          cell.walls.map(({ name }) => [name, { offset: (cell.strip * strain) / 2 }]),
        ),
      });
      const { widestGap, deepestPress } = predictCell(cell, errors, demoJob);
      const state = year.states[i]!;
      expect(state.infill.expected).toBeCloseTo(cell.strip * strain, 12);
      expect(state.gapAlone.expected).toBeCloseTo(widestGap, 3);
      expect(state.pressAlone.expected).toBeCloseTo(deepestPress, 3);
      expect(state.gapAlone.low).toBeCloseTo(state.gapAlone.high, 12);
    }
    // Dry opens, damp presses.
    expect(year.states[0]!.gapAlone.expected).toBeGreaterThan(0.02);
    expect(year.states[1]!.gapAlone.expected).toBeLessThan(0.001);
    expect(year.states[1]!.pressAlone.expected).toBeGreaterThan(0.02);
    expect(year.worst.climate.name).toBe("state 0");
    expect(year.tightest.climate.name).toBe("state 1");
  });

  it("is that of the shop where nothing has changed, and worse the drier it gets", () => {
    const year = predictSeason(jobWith(sure(10, 10, 9, 7)), few);
    expect(year.states[0]!.closed).toEqual(year.inShop.closed);
    expect(year.states[0]!.gap).toEqual(year.inShop.gap);
    const closed = year.states.map((state) => state.closed.value);
    expect(closed[1]).toBeLessThan(closed[0]!);
    expect(closed[2]).toBeLessThan(closed[1]!);
    // Cut at the driest state, nothing shrinks any more.
    expect(year.cutDriest.moisture).toBe(7);
    expect(year.cutDriest.closed.value).toBeGreaterThanOrEqual(closed[0]!);
  });

  it("says when the moisture leaves the range of the rule", () => {
    const { states } = predictSeason(jobWith(sure(10, 12, 16)), few);
    expect(states.map(({ inRange }) => inRange)).toEqual([true, false]);
    const wet = predictSeason(jobWith(sure(15, 12, 10)), few);
    expect(wet.states.map(({ inRange }) => inRange)).toEqual([false, false]);
  });

  it("is as unsure as board and moisture make it: a strip's thickness by the law of propagation", () => {
    const season: Season = { ...sure(10, 7), coefficientTrustedTo: 0.2, moistureTrustedTo: 0.5 };
    const { infill } = predictSeason(jobWith(season), { cells: 4000 }).states[0]!;
    // u² = (t·C·ΔM·0.2)² + 2·(t·C·0.5)², and a little from their product.
    const scale = demoJob.strip * 0.0025;
    const u = scale * Math.sqrt((3 * 0.2) ** 2 + 2 * 0.5 ** 2 + 2 * (0.2 * 0.5) ** 2);
    expect((infill.high - infill.low) / 2 / (1.96 * u)).toBeGreaterThan(0.93);
    expect((infill.high - infill.low) / 2 / (1.96 * u)).toBeLessThan(1.07);
  });

  it("comes out the same a second time, and refuses a job without a season", () => {
    const job = jobWith({ ...sure(10, 7), moistureTrustedTo: 1 });
    expect(predictSeason(job, few).states).toEqual(predictSeason(job, few).states);
    expect(predictSeason(job, few).states).not.toEqual(predictSeason(job, { ...few, seed: 2 }).states);
    const { season: _none, ...bare } = demoJob;
    expect(() => predictSeason(bare)).toThrow(userError("season"));
    // A thousand million cells were called a fault of sukima: there is no memory for their draws.
    for (const cells of [5, 1e9, 100.5])
      expect(() => predictSeason(job, { cells })).toThrow(`from 100 to 100000; it is ${cells}.`);
  });
});

/** What docs/season.md says of the demonstration job. */
const PAGE = readFileSync(resolve(import.meta.dirname, "../../../docs/season.md"), "utf8");

describe("the page on the year", () => {
  it("has the figures of the command", () => {
    const { shopMoisture, worst } = predictSeason(demoJob);
    expect(worst.climate.name).toBe("January");
    expect(PAGE).toContain(`cut at ${shopMoisture.toFixed(1)} % of moisture`);
    expect(PAGE).toContain(`widest in January, at ${worst.moisture.toFixed(1)} %`);
    expect(PAGE).toContain(`a strip is ${(-worst.infill.expected).toFixed(3)} mm thinner`);
    const { expected, low, high } = worst.gapAlone;
    expect(PAGE).toContain(`opens by ${expected.toFixed(3)} mm`);
    expect(PAGE).toContain(`95 % of screens: ${low.toFixed(3)} to ${high.toFixed(3)} mm`);
    // “By about as much as a strip shrinks.”
    expect(expected / -worst.infill.expected).toBeGreaterThan(0.9);
    expect(expected / -worst.infill.expected).toBeLessThan(1.15);
  });

  it("has what becomes of cells with the jigs after the moves, and as they stand", async () => {
    const percent = (share: number): string => `${Math.round(100 * share)} %`;
    const year = async (moved: boolean) =>
      JSON.parse(await seasonCommand(DEMO, { json: true, moved, seed: 1 }, () => {}));
    const after = await year(true);
    const inMonth = (from: SeasonFigures): number =>
      from.states.find(({ name }) => name === "January")?.closed.value ?? Number.NaN;
    expect(PAGE).toContain("over 99 % of the cells leave the shop with no gap over the limit");
    expect(after.inShop.closed.value).toBeGreaterThan(0.99);
    expect(PAGE).toContain("over 99 % have none in January");
    expect(inMonth(after)).toBeGreaterThan(0.99);
    expect(PAGE).toContain("drier wood at the time of cutting would not help");
    expect(after.cutDriest.closed.value).toBeLessThanOrEqual(inMonth(after) + 0.005);
    const now = await year(false);
    expect(PAGE).toContain(
      `it is ${percent(now.inShop.closed.value)} in the shop and ${percent(inMonth(now))} in January`,
    );
  });
});

interface SeasonFigures {
  readonly states: readonly { readonly name: string; readonly closed: { readonly value: number } }[];
}
