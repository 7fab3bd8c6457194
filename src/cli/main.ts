#!/usr/bin/env node
import { readFileSync } from "node:fs";
import { join } from "node:path";
import { Command, CommanderError, Option } from "commander";
import { EXIT } from "../core/errors.js";
import { PACKAGE_ROOT } from "../core/package-root.js";
import { spellOut } from "../core/quantity/spell-out.js";
import type { CalibrateFlags } from "../features/calibrate/calibrate-command.js";
import type { CardFlags } from "../features/calibrate/card-command.js";
import type { NewFlags } from "../features/new/new-command.js";
import type { NotebookFlags } from "../features/notebook/notebook-command.js";
import type { PatternFlags } from "../features/pattern/pattern-command.js";
import type { SimulateFlags } from "../features/simulate/simulate-command.js";
import { failure } from "./fail.js";
import { addLearningCommands } from "./learning-commands.js";
import { addMakingCommands } from "./making-commands.js";
import { seconds, seed } from "./option-values.js";
import { outlive } from "./outlive.js";
import { addPanel } from "./panel-command.js";
import { addPredict } from "./predict-command.js";
import { addWorkshopCommands } from "./workshop-commands.js";

// Each command's code is loaded when it is called: a prediction need not wait for what a notebook needs.

const { version } = JSON.parse(readFileSync(join(PACKAGE_ROOT, "package.json"), "utf8")) as {
  version: string;
};

// What a job, a notebook or a path says must not drive the terminal.
const print = (text: string): void => {
  process.stdout.write(spellOut(text.endsWith("\n") ? text : `${text}\n`));
};

/** Steps of a longer command, on the error stream so that the answer can be piped. */
const progress = (step: string): void => {
  process.stderr.write(spellOut(`… ${step}\n`));
};

function complain(error: unknown): void {
  const { message, code } = failure(error);
  process.stderr.write(spellOut(`${message}\n`));
  if (process.env.SUKIMA_TRACE && error instanceof Error) process.stderr.write(`${error.stack}\n`);
  process.exitCode = code;
}

outlive(complain);

const program = new Command("sukima")
  .description("Why kumiko joints gap, and what to change on which jig.")
  .version(version)
  .exitOverride()
  .showHelpAfterError("(sukima --help lists the commands)")
  .configureOutput({
    writeOut: (text) => process.stdout.write(spellOut(text)),
    writeErr: (text) => process.stderr.write(spellOut(text)),
  });

program
  .command("new")
  .description("write a commented starter job and an empty table of trials into a folder")
  .argument("<folder>", "the new job's folder")
  .addOption(
    new Option("--units <unit>", "the units of your shop").choices(["mm", "in"] as const).default("mm"),
  )
  .option("--pattern <name>", "the infill (asanoha-square); “sukima pattern” lists them")
  .action(async (folder: string, flags: NewFlags) => {
    const { newCommand } = await import("../features/new/new-command.js");
    print(newCommand(folder, flags));
  });

program
  .command("pattern")
  .description("the infills there are; or one of them, or a file of your own, checked, told and drawn")
  .argument("[pattern]", "a pattern's name, or a pattern file; left out, what there is is listed")
  .option("--size <name=size>", "one of its sizes; may be repeated", (text, before: string[] = []) => [
    ...before,
    text,
  ])
  .option("--out <file>", "draw it: a file ending in .svg or .png; what does not meet is ringed")
  .action(async (pattern: string | undefined, flags: PatternFlags) => {
    const { patternCommand } = await import("../features/pattern/pattern-command.js");
    print(await patternCommand(pattern, flags));
  });

addPredict(program, { print });

addPanel(program, { print });

program
  .command("calibrate")
  .description("what the trial cuts say of each jig and stop, and what to change")
  .argument("<folder>", "a job folder with job.yaml and trials.csv")
  .option("--json", "print the numbers, in mm and degrees, for other programs")
  .option("--seed <number>", "seed of the simulated cells", seed, 1)
  .action(async (folder: string, flags: CalibrateFlags) => {
    const { calibrateCommand } = await import("../features/calibrate/calibrate-command.js");
    print(calibrateCommand(folder, flags, progress));
  });

program
  .command("card")
  .description("the set-up card as a page to print: drawings, moves, checks, cautions")
  .argument("<folder>", "a job folder with job.yaml and trials.csv")
  .requiredOption("--out <file>", "where the page goes, an .html file")
  .option("--seed <number>", "seed of the simulated cells", seed, 1)
  .action(async (folder: string, flags: CardFlags) => {
    const { cardCommand } = await import("../features/calibrate/card-command.js");
    print(cardCommand(folder, flags, progress));
  });

program
  .command("notebook")
  .description("run a notebook on a job and write the executed notebook and a page")
  .argument("<name>", "a notebook of this project, or the path of your own")
  .requiredOption("--job <folder>", "the job's folder")
  .requiredOption("--out <folder>", "where the report goes")
  .option("--card", "print the set-up card as well")
  .option("--cell-limit <seconds>", "how long a cell may run (600)", seconds)
  .action(async (name: string, flags: NotebookFlags) => {
    const { notebookCommand } = await import("../features/notebook/notebook-command.js");
    print(await notebookCommand(name, flags, progress));
  });

program
  .command("simulate")
  .description("fill a planned trials table with what a shop with known errors would read")
  .argument("<folder>", "a job folder with job.yaml, truth.yaml and plan.csv")
  .option("--out <file>", "where the table goes; printed when absent")
  .action(async (folder: string, flags: SimulateFlags) => {
    const { simulateCommand } = await import("../features/simulate/simulate-command.js");
    print(simulateCommand(folder, flags));
  });

addWorkshopCommands(program, { print, progress });

addMakingCommands(program, { print, progress });

addLearningCommands(program, { print, progress });

try {
  await program.parseAsync();
} catch (error) {
  if (error instanceof CommanderError) process.exitCode = error.exitCode === 0 ? EXIT.done : EXIT.usage;
  else complain(error);
}
