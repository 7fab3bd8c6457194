import { type AddCommand, seed } from "../../cli/arguments.js";
import type { CutListFlags } from "./cut-list-report.js";

export const addCutList: AddCommand = (program, { print }) => {
  program
    .command("cutlist")
    .description(
      "what to cut for the whole screen: pieces and spares, set-ups, sticks, what scrap can become",
    )
    .argument("<folder>", "a job folder; its sections stock and panel say what of")
    .option("--out <folder>", "write a page to print, and tables for a spreadsheet (.csv)")
    .option("--seed <number>", "seed of the simulated pieces", seed, 1)
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (folder: string, flags: CutListFlags) => {
      const { cutListCommand } = await import("./cut-list-report.js");
      print(cutListCommand(folder, flags, new Date()));
    });
};
