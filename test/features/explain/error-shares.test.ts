import { expect, it } from "vitest";
import { rowsOf } from "../../../src/core/numeric/dense.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellsRead } from "../../../src/features/explain/cells-read.js";
import { causeText, errorShares } from "../../../src/features/explain/error-shares.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { partErrors } from "../../../src/inference/likelihood/trial-blocks.js";
import { cellWith, job } from "./invented-cell.js";

const moved: typeof job = {
  ...job,
  rounds: [
    {
      name: "r2",
      moves: [{ source: { kind: "stop", of: "key-end" }, by: 0.1, priorSd: 0.02 }],
    },
  ],
} as typeof job;

it("shares of a cell's errors add up to the errors; a known move and what it missed by belong to their stop", () => {
  const readings = cellWith(null, 0).map((reading) => ({ ...reading, round: "r2" }));
  const fit = fitSources(moved, readings, { alsoWithoutPriors: false, keepStates: true });
  const [cell] = cellsRead(fit);
  const { sources } = fit;
  const shares = errorShares(moved, cell!, sources);
  const stream = createStream(3);
  const values = Float64Array.from(sources, ({ priorSd }) => priorSd * stream.normal());
  const latents = stream.fill(new Float64Array(fit.target.blocks[0]!.latents));
  const parts = shares.of(values, latents);
  const whole = partErrors(cell!.part.specimen, cell!.part.latent, values, latents);
  for (const [e, error] of whole.entries()) {
    const sum = rowsOf(parts, whole.length).reduce((total, row) => total + row[e]!, 0);
    expect(Math.abs(sum - error)).toBeLessThan(1e-12);
  }
  const states = shares.statesOf(values);
  const key = shares.ids.findIndex((id) => causeText(id) === "stop of key-end");
  const own = sources.reduce(
    (sum, { id }, s) => sum + (id.kind === "stop" && id.of === "key-end" ? values[s]! : 0),
    0,
  );
  expect(states[key]).toBeCloseTo(own + 0.1, 12);
  // Grid and pieces stand beside the sources, each once.
  const names = shares.ids.map(causeText);
  expect(new Set(names).size).toBe(names.length);
  expect(names).toEqual(expect.arrayContaining(["grid racked", "size of the opening", "hinge-2 itself"]));
});
