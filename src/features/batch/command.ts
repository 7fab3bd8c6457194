import type { AddCommand } from "../../cli/arguments.js";
import { addEvidence } from "../evidence/index.js";
import type { BatchFlags } from "./batch-report.js";

export const addBatch: AddCommand = (program, { print, progress }) => {
  const command = program
    .command("batch")
    .description("whether a batch passes and stays steady, or a stop creeps")
    .argument("<file>", "a table with a column length or gap, one row for each piece in the order of cutting")
    .option("--job <folder>", "the job that the pieces are for: gives GO and NO-GO sizes and a master")
    .option(
      "--target <length>",
      "what the pieces should be (what the job says, or the mean of the first): 43.5, 1 23/32 in",
    )
    .option(
      "--deviation <length>",
      "standard deviation from piece to piece (from the pieces): 0.02, 0.8 thou",
    )
    .option("--details", "also print the charts and what the sizes rest on")
    .option("--json", "print the numbers, in mm, for other programs");
  addEvidence(command).action(async (file: string, flags: BatchFlags) => {
    const { batchCommand } = await import("./batch-report.js");
    print(batchCommand(file, flags, progress));
  });
};
