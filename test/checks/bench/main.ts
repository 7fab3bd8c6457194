import { cpus, loadavg } from "node:os";
import { parseArgs } from "node:util";
import { type BenchLine, lineText } from "./bench-line.js";
import { commandLines } from "./command-lines.js";
import { fitLines, fittedLines } from "./fit-lines.js";
import { growthLines } from "./growth-lines.js";
import { numpyLine } from "./numpy-line.js";
import { operationLines } from "./operation-lines.js";
import { panelLines } from "./panel-lines.js";
import { seatingLines, threadLine } from "./seating-lines.js";
import { startLines } from "./start-lines.js";

/**
 * npm run bench [-- --json] [--repeats N] [--against COMMIT] [--only start|commands|seating] [--commands NAMES]: how fast programs start, cells are seated and readings fitted, against what; about six minutes.
 * `--against` a commit, or a folder with a build, adds the line of a whole calibration; `--only start` leaves out the rest, as `--only seating` does; `--only commands` shows every command's processor time instead,
 * beside that of the earlier build where one is named, or of some commands: `--commands calibrate,card`.
 * Fails when a target is not met.
 */
const { values } = parseArgs({
  options: {
    json: { type: "boolean", default: false },
    repeats: { type: "string", default: "5" },
    against: { type: "string" },
    only: { type: "string" },
    commands: { type: "string" },
  },
});
const repeats = Number(values.repeats);
if (!(Number.isInteger(repeats) && repeats >= 1)) {
  throw new RangeError(`The number of repeats must be whole and at least 1; it is ${values.repeats}.`);
}

const lines: BenchLine[] = [];
const tell = (made: readonly BenchLine[]): void => {
  lines.push(...made);
  if (!values.json) for (const line of made) process.stdout.write(`${lineText(line)}\n`);
};

if (!values.json) {
  process.stdout.write(
    `Node ${process.version}, ${cpus().length} cores, load ${loadavg()[0]!.toFixed(1)}\n` +
      `Square cell, 60 mm, 3 mm strips, 71 normal errors of 0.1° and 0.03 mm; medians of ${repeats} repeats (smallest … largest)\n\n`,
  );
}
if (values.only === "commands") tell(commandLines(repeats, values.against, values.commands?.split(",")));
if (values.only === undefined || values.only === "start") tell(startLines(repeats, values.against));
if (values.only === undefined || values.only === "seating") {
  tell(await seatingLines(repeats));
  tell(operationLines());
}
if (values.only === undefined) {
  tell(fittedLines(repeats));
  tell(fitLines(repeats));
  tell([numpyLine(repeats)]);
  tell([await threadLine(repeats)]);
  tell(panelLines(repeats));
  tell(await growthLines(repeats));
}
if (values.json) process.stdout.write(`${JSON.stringify(lines, null, 2)}\n`);
if (lines.some(({ met }) => met === false)) process.exitCode = 1;
