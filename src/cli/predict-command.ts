import { type Command, Option } from "commander";
import { UsageError } from "../core/errors.js";
import type { ForecastFlags } from "../features/forecast/forecast-command.js";
import type { PredictFlags } from "../features/predict/predict-command.js";
import { LENGTHS } from "../model/job/job.js";
import { cells, seed, threads } from "./option-values.js";
import type { CommandTools } from "./workshop-commands.js";

type AllFlags = PredictFlags & ForecastFlags & { readonly uncertain?: boolean };

/** `sukima predict`: one cell as it was cut, or with `--uncertain` the spread of the cells to come. */
export function addPredict(program: Command, { print }: Omit<CommandTools, "progress">): void {
  program
    .command("predict")
    .description("the gaps of one cell, from the errors its job file gives; or how cells will spread")
    .argument("<job>", "a job file or folder")
    .addOption(
      new Option("--lengths <how>", "take the pieces so, whatever the job says").choices([...LENGTHS]),
    )
    .option("--json", "print the numbers, in mm, for other programs")
    .option("--uncertain", "how often the cells to come will close, and what drives their gaps")
    .option("--trials <number>", "simulated cells with --uncertain (1000000)", cells)
    .option("--adaptive", "as many simulated cells as a stable answer takes")
    .addOption(new Option("--order <order>", "seat simulated cells so (first)").choices(["first", "exact"]))
    .option("--seed <number>", "seed of the simulated cells (1)", seed)
    .option("--threads <number>", "threads at most (as many as there are cores, up to 4)", threads)
    .option("--out <folder>", "draw the spread and the budget there, with --uncertain")
    .action(async (job: string, { uncertain, ...flags }: AllFlags) => {
      if (uncertain) {
        const { predictUncertainCommand } = await import("../features/forecast/forecast-command.js");
        print(await predictUncertainCommand(job, flags));
        return;
      }
      const { json, lengths, ...more } = flags;
      const [stray] = Object.keys(more);
      if (stray !== undefined) throw new UsageError(`--${stray} goes with --uncertain only.`);
      const { predictCommand } = await import("../features/predict/predict-command.js");
      print(predictCommand(job, { ...(json && { json }), ...(lengths && { lengths }) }));
    });
}
