import { type AddCommand, chance, seed } from "../../cli/arguments.js";
import { addEvidence } from "../evidence/index.js";
import type { ToleranceFlags } from "./tolerance-report.js";

export const addTolerances: AddCommand = (program, { print, progress }) => {
  const command = program
    .command("tolerances")
    .description(
      "how accurate each ramp, stop, thickness and lap has to be for the cells to close, at the least cost",
    )
    .argument("<folder>", "a job folder; its section tolerances says what is wanted and what precision costs")
    .option("--chance <share>", "share of the cells that should close, instead of the job's (0.9)", chance)
    .option("--no-curve", "skip what other shares would cost (faster)")
    .option("--out <file>", "draw the trade-off: a file ending in .svg or .png")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .option("--details", "also print the tables behind the answer")
    .option("--json", "print the numbers, in mm and degrees, for other programs");
  addEvidence(command).action(async (folder: string, flags: ToleranceFlags) => {
    const { tolerancesCommand } = await import("./tolerance-report.js");
    print(await tolerancesCommand(folder, flags, progress));
  });
};
