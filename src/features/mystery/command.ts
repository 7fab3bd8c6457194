import { Option } from "commander";
import { type AddCommand, faults, ofClass, seed } from "../../cli/arguments.js";
import { MYSTERY_LEVELS } from "./mystery-job.js";
import type { MysteryFlags } from "./mystery-report.js";

export const addMystery: AddCommand = (program, { print }) => {
  program
    .command("mystery")
    .description("a shop with hidden faults to practise on, and the marking of your answer")
    .option("--seed <number>", "makes the mystery of this number", seed)
    .option("--faults <number>", "how many things are wrong, 1 to 3", faults, 2)
    .option("--pattern <name>", "the infill of its cells (asanoha-square)")
    .addOption(new Option("--units <unit>", "the units of its shop (mm)").choices(["mm", "in"] as const))
    .addOption(
      new Option(
        "--level <level>",
        "what may be read: angles and lengths (rulers), gaps (feeler), the gaps of whole cells (cell), or readings to buy (budget)",
      ).choices(MYSTERY_LEVELS),
    )
    .option(
      "--count <number>",
      "makes a class of so many, with sheets to print and the answers apart",
      ofClass,
    )
    .option("--out <folder>", "where it goes (mystery-SEED, class-SEED)")
    .option("--buy <folder>", "buys readings of the mystery with a budget in this folder")
    .option("--readings <ids>", "which, as its menu.csv names them: m01,m02")
    .option(
      "--mark <folder>",
      "marks an answer to the mystery, or all of the class, in this folder, and tells the truth",
    )
    .option("--answer <file>", "the answer (answer.yaml in that folder)")
    .option("--give-up", "show the truth without an answer")
    .option("--json", "print the marking in mm and radians, for other programs")
    .action(async (flags: MysteryFlags) => {
      const { mysteryCommand } = await import("./mystery-report.js");
      print(mysteryCommand(flags));
    });
};
