import { type AddCommand, amount } from "../../cli/arguments.js";
import type { BatchFlags } from "./batch-report.js";

export const addBatch: AddCommand = (program, { print }) => {
  program
    .command("batch")
    .description("whether the lengths or gaps of a batch stay steady, or a stop creeps")
    .argument("<file>", "a table with length or gap, one row a piece in the order of cutting")
    .option("--job <folder>", "a job whose limits give GO and NO-GO sizes and a master")
    .option("--target <mm>", "what the pieces should be (the mean of the first)", amount)
    .option("--deviation <mm>", "standard deviation from piece to piece (from the pieces)", amount)
    .option("--json", "print the numbers, in mm, for other programs")
    .action(async (file: string, flags: BatchFlags) => {
      const { batchCommand } = await import("./batch-report.js");
      print(batchCommand(file, flags));
    });
};
