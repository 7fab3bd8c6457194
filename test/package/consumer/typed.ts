import { type Forecast, forecastCells, JobError, loadJob } from "sukima";
import {
  asanohaSquare,
  type CellPrediction,
  compileCell,
  type ErrorLayout,
  errorLayout,
  noErrors,
  parseLength,
  predictCell,
} from "sukima/core";
import { gapsTable } from "sukima/notebook";
import { lawOfPropagation, normal, type Propagation } from "sukima/uncertainty";

const opening: number = parseLength("2 3/8 in", { unit: "mm" });
const cell = compileCell(asanohaSquare({ opening, strip: 4 }));
const right: CellPrediction = predictCell(cell, noErrors(cell));

// Every hinge 0.2 mm short.
const layout: ErrorLayout = errorLayout(cell);
const errors: Float64Array = noErrors(cell);
layout.entries.forEach(({ kind, owner, face }, i) => {
  if (kind === "axial" && owner.startsWith("hinge") && face?.startsWith("end")) errors[i] = -0.2;
});
const short: CellPrediction = predictCell(cell, errors);

let refused = "nothing";
try {
  loadJob("no-such-job");
} catch (error) {
  if (!(error instanceof JobError)) throw error;
  refused = error.name;
}

const sum: Propagation = lawOfPropagation(
  ([x = 0, y = 0]) => x + y,
  [
    { name: "x", distribution: normal(1, 0.6) },
    { name: "y", distribution: normal(2, 0.8) },
  ],
);

const forecast: Forecast = await forecastCells(loadJob(process.argv[2] ?? "."), {
  trials: 20_000,
  threads: 2,
});

console.log(
  JSON.stringify({
    opening,
    right: right.widestGap,
    short: short.widestGap,
    refused,
    closes: forecast.cell.closes.value,
    expanded: sum.expandedUncertainty,
    text: gapsTable({ units: "mm" }, short).text,
  }),
);
