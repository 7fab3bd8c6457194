import { describe, expect, it } from "vitest";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { errorsOf } from "../../../src/physics/kernel/trial-record.js";
import { sourceText } from "../../../src/render/source-text.js";
import { DEMO, quietJob } from "./support/quiet-job.js";

const errorsAt = (sources: ReturnType<typeof forecastSources>, drawn: Float64Array): Float64Array => {
  const errors = new Float64Array(sources.inputs.mean.length);
  errorsOf(sources.inputs, drawn, errors);
  return errors;
};

describe("the sources of a forecast", () => {
  const sources = forecastSources(DEMO);
  const { entries, indexOf } = errorLayout(sources.cell);

  it("give every draw to one group", () => {
    const owned = sources.groups.flatMap(({ draws }) => draws);
    expect(owned.sort((a, b) => a - b)).toEqual(Array.from({ length: sources.inputs.draws }, (_, k) => k));
    for (const { draws, perfect, spread } of sources.groups) {
      expect(perfect).toHaveLength(draws.length);
      expect(spread).toHaveLength(draws.length);
    }
  });

  it("move every cut of a jig together, and each cut by itself", () => {
    const ramp = sources.groups.find(({ id }) => sourceText(id) === "ramp of point-67")!;
    const drawn = new Float64Array(sources.inputs.draws);
    drawn[ramp.draws[0]!] = 1;
    const errors = errorsAt(sources, drawn);
    const turned = entries.filter((_, e) => errors[e] !== 0);
    expect(turned).toHaveLength(8);
    for (const { owner, kind, face } of turned) {
      expect([kind, owner.startsWith("hinge"), face!.startsWith("start")]).toEqual(["angle", true, true]);
      expect(errors[indexOf("angle", owner, face)]).toBeCloseTo((0.5 * Math.PI) / 180, 15);
    }
    const angles = sources.groups.find(({ id }) => sourceText(id) === "angles from cut to cut")!;
    expect(angles.draws).toHaveLength(28);
  });

  it("take a thicker piece through its fence", () => {
    const thick = sources.groups.find(({ id }) => sourceText(id) === "thickness from piece to piece")!;
    const drawn = new Float64Array(sources.inputs.draws);
    for (const k of thick.draws) drawn[k] = 1;
    const errors = errorsAt(sources, drawn);
    // The demo's bevel jig has its fence on the long side: −(dt/2)·tan 22.5° with dt = 0.01 mm.
    expect(errors[indexOf("axial", "hinge-1", "end-left")]).toBeCloseTo(-0.005 * Math.tan(Math.PI / 8), 15);
    expect(errors[indexOf("thickness", "hinge-1")]).toBe(0.01);
    expect(errors[indexOf("axial", "key-1", "end-left")]).toBe(0);
  });

  it("start from what a record expects, and are nil where perfect", () => {
    const quiet = quietJob(["hinge-seat"]);
    const setUps = quiet.setUps.map((setUp) =>
      setUp.name === "hinge-seat" ? { ...setUp, stop: { ...setUp.stop!, priorMean: 0.2 } } : setUp,
    );
    const expecting = forecastSources({ ...quiet, setUps });
    const [group] = expecting.groups;
    expect(group!.spread[0]).toEqual({ mean: 0.2, deviation: 0.15, angular: false });
    expect(Math.max(...expecting.inputs.mean)).toBeCloseTo(0.2, 15);
    for (const error of errorsAt(expecting, Float64Array.from(group!.perfect)))
      expect(error).toBeCloseTo(0, 15);
  });
});
