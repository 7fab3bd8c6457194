import { type AddCommand, seed } from "../../cli/arguments.js";
import type { CutListFlags } from "./cut-list-report.js";

export const addCutList: AddCommand = (program, { print, progress }) => {
  program
    .command("cutlist")
    .description(
      "what to cut for the whole screen: pieces and spares, set-ups, sticks, and what a scrapped piece can become",
    )
    .argument("<folder>", "a job folder; its sections panel and stock say how many cells, and from what wood")
    .option("--out <folder>", "write a page to print, and tables for a spreadsheet (.csv)")
    .option("--seed <number>", "seed of the simulated pieces", seed, 1)
    .option(
      "--without-readings",
      "ignore the readings in trials.csv for the spares; use the scatter that job.yaml states",
    )
    .option("--details", "also print the tables behind the answer")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (folder: string, flags: CutListFlags) => {
      const { cutListCommand } = await import("./cut-list-report.js");
      print(cutListCommand(folder, flags, new Date(), progress));
    });
};
