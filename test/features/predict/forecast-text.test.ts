import { expect, it } from "vitest";
import { forecastText } from "../../../src/features/predict/forecast-text.js";
import { forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import { DEMO, quietJob } from "../../inference/forecast/support/quiet-job.js";

const told = async (job: typeof DEMO): Promise<string> =>
  forecastText(await forecastCells(job, { trials: 4000, bothOrders: 0, threads: 1 })).replace(/\s+/g, " ");

it("everything against a cell at once is rare with many sources, and told as common with one", async () => {
  expect(await told(DEMO)).toMatch(/With all 79 sources .* Errors hardly ever combine so: 99 % of the cells/);
  const one = await told(quietJob(["diagonal-end"]));
  expect(one).toMatch(/With the only source up to 2 standard deviations off, .* that is no rare cell: 99 %/);
});
