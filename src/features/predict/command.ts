import { Option } from "commander";
import { type AddCommand, cells, given, seed, threads } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { LENGTHS } from "../../model/job/job.js";
import { addEvidence } from "../evidence/index.js";
import type { ForecastFlags } from "./forecast-report.js";
import type { PredictFlags } from "./prediction-report.js";

type AllFlags = PredictFlags & ForecastFlags & { readonly uncertain?: boolean };

/** One cell as it was cut, or with `--uncertain` the spread of the cells to come. */
export const addPredict: AddCommand = (program, { print, progress }) => {
  const command = program
    .command("predict")
    .description(
      "the gaps of one cell, from errors stated in its job file; or, with --uncertain, how often the cells to come will close",
    )
    .argument("<job>", "a job file or folder")
    .addOption(
      new Option(
        "--lengths <how>",
        "pieces as the stops cut them, or each fitted by trial; overrides the job",
      ).choices([...LENGTHS]),
    )
    .option("--details", "also print the tables behind the answer")
    .option("--json", "print the numbers, in mm, for other programs")
    .option("--uncertain", "how often the cells to come will close, and what drives their gaps")
    .option("--cells <number>", "simulated cells with --uncertain (1000000)", cells)
    .addOption(new Option("--trials <number>", "the former name of --cells").argParser(cells).hideHelp())
    .option("--adaptive", "simulate as many cells as a stable answer needs")
    .addOption(
      new Option(
        "--order <order>",
        "how simulated cells are worked out: first order (fast, default) or exact",
      ).choices(["first", "exact"]),
    )
    .option("--seed <number>", "seed of the simulated cells (1)", seed)
    .option("--threads <number>", "threads at most (as many as there are cores, up to 4)", threads)
    .option("--out <folder>", "with --uncertain: draw the spread and what drives it into this folder");
  addEvidence(command).action(async (job: string, { uncertain, ...flags }: AllFlags) => {
    if (uncertain) {
      const { predictUncertainCommand } = await import("./forecast-report.js");
      print(await predictUncertainCommand(job, flags, progress));
      return;
    }
    const { json, details, lengths, ...more } = flags;
    const [stray] = Object.keys(more);
    if (stray !== undefined)
      throw new UserError("usage", `--${optionNamed(stray)} goes with --uncertain only.`);
    const { predictCommand } = await import("./prediction-report.js");
    print(predictCommand(job, given({ json, details, lengths })));
  });
};

/** `withoutReadings` as it is written: `without-readings`. */
const optionNamed = (name: string): string => name.replace(/[A-Z]/g, (letter) => `-${letter.toLowerCase()}`);
