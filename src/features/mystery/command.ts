import { type AddCommand, faults, seed } from "../../cli/arguments.js";
import type { MysteryFlags } from "./mystery-report.js";

export const addMystery: AddCommand = (program, { print }) => {
  program
    .command("mystery")
    .description(
      "a shop with hidden faults and its trial cuts, to find out what is wrong; and the marking of an answer",
    )
    .option("--seed <number>", "makes the mystery of this number", seed)
    .option("--faults <number>", "how many things are wrong, 1 to 3", faults, 2)
    .option("--pattern <name>", "the infill of its cells (asanoha-square)")
    .option("--out <folder>", "where it goes (mystery-SEED)")
    .option("--mark <folder>", "marks an answer to the mystery in this folder, and tells the truth")
    .option("--answer <file>", "the answer (answer.yaml in that folder)")
    .option("--give-up", "show the truth without an answer")
    .option("--json", "print the marking in mm and radians, for other programs")
    .action(async (flags: MysteryFlags) => {
      const { mysteryCommand } = await import("./mystery-report.js");
      print(mysteryCommand(flags));
    });
};
