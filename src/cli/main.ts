#!/usr/bin/env node
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { Command, CommanderError } from "commander";
import { EXIT } from "../core/errors.js";
import { PACKAGE_ROOT } from "../core/package-root.js";
import { spellOut } from "../core/text.js";
import { addBatch } from "../features/batch/command.js";
import { addCalibrate, addCard } from "../features/calibrate/command.js";
import { addCutList } from "../features/cutlist/command.js";
import { addDraw } from "../features/draw/command.js";
import { addExplain } from "../features/explain/command.js";
import { addGauge } from "../features/gauge/command.js";
import { addMake } from "../features/make/command.js";
import { addMystery } from "../features/mystery/command.js";
import { addNew } from "../features/new/command.js";
import { addNotebook } from "../features/notebook/command.js";
import { addPanel } from "../features/panel/command.js";
import { addPattern } from "../features/pattern/command.js";
import { addPlan } from "../features/plan/command.js";
import { addPage } from "../features/play/command.js";
import { addPredict } from "../features/predict/command.js";
import { addRecord } from "../features/record/command.js";
import { addSeason } from "../features/season/command.js";
import { addSheet } from "../features/sheet/command.js";
import { addSimulate } from "../features/simulate/command.js";
import { addTolerances } from "../features/tolerances/command.js";
import { type FaultPlace, failure, reportUncaught } from "./failure.js";
import { plainLineFaults } from "./line-faults.js";
import { signOfLife, startSignOfLife } from "./progress.js";

/** In the order of the help. */
const COMMANDS = [
  addNew,
  addPattern,
  addPredict,
  addPanel,
  addCalibrate,
  addCard,
  addNotebook,
  addSimulate,
  addPlan,
  addGauge,
  addBatch,
  addRecord,
  addCutList,
  addMake,
  addTolerances,
  addSeason,
  addExplain,
  addDraw,
  addSheet,
  addPage,
  addMystery,
];

const { version } = JSON.parse(readFileSync(join(PACKAGE_ROOT, "package.json"), "utf8")) as {
  version: string;
};

// What a job, a notebook or a path says must not drive the terminal.
const print = (text: string): void => {
  signOfLife()?.clear();
  process.stdout.write(spellOut(text.endsWith("\n") ? text : `${text}\n`));
};

/** Steps of a longer command, on the error stream so that the answer can be piped. */
const progress = Object.assign(
  (step: string): void => {
    signOfLife()?.clear();
    process.stderr.write(spellOut(`… ${step}\n`));
    signOfLife()?.spoke(step);
  },
  { further: (step: string): void => signOfLife()?.further(step) },
);

/** The folder or file that the command was given. */
let about: string | undefined;

async function complain(error: unknown): Promise<void> {
  const [{ placeOf, unitsOf }, { sentenceIn }] = await Promise.all([
    import("../io/place.js"),
    import("../io/example-units.js"),
  ]);
  if (about === undefined) return complainOf(error);
  const path = about;
  complainOf(error, { of: (key) => placeOf(path, key), said: (text) => sentenceIn(text, unitsOf(path)) });
}

function complainOf(error: unknown, place?: FaultPlace): void {
  const { message, code } = failure(error, place);
  signOfLife()?.clear();
  process.stderr.write(spellOut(`${message}\n`));
  if (process.env.SUKIMA_TRACE && error instanceof Error) process.stderr.write(`${error.stack}\n`);
  process.exitCode = code;
}

reportUncaught(complainOf);

const program = new Command("sukima")
  .description("Why kumiko joints gap, and what to change on which jig.")
  .version(version)
  .exitOverride()
  .configureOutput({
    writeOut: (text) => process.stdout.write(spellOut(text)),
    writeErr: (text) => process.stderr.write(spellOut(text)),
  });

for (const add of COMMANDS) add(program, { print, progress });
for (const command of [program, ...program.commands]) plainLineFaults(command);
program.hook("preAction", (_, command) => {
  const { job, table, mark } = command.opts<{ job?: string; table?: string; mark?: string }>();
  about = job ?? table ?? mark ?? command.args[0];
  startSignOfLife(process.stderr);
});

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? EXIT.done : EXIT.usage;
  else await complain(error);
} finally {
  await signOfLife()?.end();
}
