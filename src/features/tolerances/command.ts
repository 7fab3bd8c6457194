import { type AddCommand, chance, seed } from "../../cli/arguments.js";
import type { ToleranceFlags } from "./tolerance-report.js";

export const addTolerances: AddCommand = (program, { print, progress }) => {
  program
    .command("tolerances")
    .description(
      "how far each ramp, stop, thickness and lap must be trusted for the cells to close, at the least cost",
    )
    .argument("<folder>", "a job folder; its section tolerances says what is wanted and what precision costs")
    .option("--chance <share>", "chance that a cell closes, in the place of the job's (0.9)", chance)
    .option("--no-curve", "leave out what other chances would cost")
    .option("--out <file>", "draw the trade-off: a file ending in .svg or .png")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (folder: string, flags: ToleranceFlags) => {
      const { tolerancesCommand } = await import("./tolerance-report.js");
      print(await tolerancesCommand(folder, flags, progress));
    });
};
