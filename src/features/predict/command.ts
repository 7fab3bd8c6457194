import { Option } from "commander";
import { type AddCommand, cells, seed, threads } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { LENGTHS } from "../../model/job/job.js";
import type { ForecastFlags } from "./forecast-report.js";
import type { PredictFlags } from "./prediction-report.js";

type AllFlags = PredictFlags & ForecastFlags & { readonly uncertain?: boolean };

/** One cell as it was cut, or with `--uncertain` the spread of the cells to come. */
export const addPredict: AddCommand = (program, { print }) => {
  program
    .command("predict")
    .description("the gaps of one cell, from the errors its job file gives; or how cells will spread")
    .argument("<job>", "a job file or folder")
    .addOption(
      new Option("--lengths <how>", "how pieces get their length, whatever the job says").choices([
        ...LENGTHS,
      ]),
    )
    .option("--json", "print the numbers, in mm, for other programs")
    .option("--uncertain", "how often the cells to come will close, and what drives their gaps")
    .option("--cells <number>", "simulated cells with --uncertain (1000000)", cells)
    .addOption(new Option("--trials <number>", "the former name of --cells").argParser(cells).hideHelp())
    .option("--adaptive", "as many simulated cells as a stable answer takes")
    .addOption(new Option("--order <order>", "seat simulated cells so (first)").choices(["first", "exact"]))
    .option("--seed <number>", "seed of the simulated cells (1)", seed)
    .option("--threads <number>", "threads at most (as many as there are cores, up to 4)", threads)
    .option("--out <folder>", "draw the spread and the budget there, with --uncertain")
    .action(async (job: string, { uncertain, ...flags }: AllFlags) => {
      if (uncertain) {
        const { predictUncertainCommand } = await import("./forecast-report.js");
        print(await predictUncertainCommand(job, flags));
        return;
      }
      const { json, lengths, ...more } = flags;
      const [stray] = Object.keys(more);
      if (stray !== undefined) throw new UserError("usage", `--${stray} goes with --uncertain only.`);
      const { predictCommand } = await import("./prediction-report.js");
      print(predictCommand(job, { ...(json && { json }), ...(lengths && { lengths }) }));
    });
};
