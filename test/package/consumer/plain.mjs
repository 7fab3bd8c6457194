import { forecastCells, JobError, loadJob } from "sukima";
import { asanohaSquare, compileCell, errorLayout, noErrors, parseLength, predictCell } from "sukima/core";
import { gapsTable } from "sukima/notebook";
import { lawOfPropagation, normal } from "sukima/uncertainty";

const opening = parseLength("2 3/8 in", { unit: "mm" });
const cell = compileCell(asanohaSquare({ opening, strip: 4 }));
const right = predictCell(cell, noErrors(cell));

// Every hinge 0.2 mm short.
const errors = noErrors(cell);
errorLayout(cell).entries.forEach(({ kind, owner, face }, i) => {
  if (kind === "axial" && owner.startsWith("hinge") && face?.startsWith("end")) errors[i] = -0.2;
});
const short = predictCell(cell, errors);

let refused = "nothing";
try {
  loadJob("no-such-job");
} catch (error) {
  if (!(error instanceof JobError)) throw error;
  refused = error.name;
}

const sum = lawOfPropagation(([x, y]) => x + y, [
  { name: "x", distribution: normal(1, 0.6) },
  { name: "y", distribution: normal(2, 0.8) },
]);

forecastCells(loadJob(process.argv[2]), { trials: 20_000, threads: 2 }).then(({ cell: { closes } }) => {
  console.log(
    JSON.stringify({ opening, right: right.widestGap, short: short.widestGap, refused, closes: closes.value, expanded: sum.expandedUncertainty, text: gapsTable({ units: "mm" }, short).text }),
  );
});
