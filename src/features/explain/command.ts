import { type AddCommand, repeated, seed } from "../../cli/arguments.js";
import type { ExplainFlags } from "./explain-report.js";

export const addExplain: AddCommand = (program, { print }) => {
  program
    .command("explain")
    .description(
      "why an assembled cell gaps: what opens each joint and by how much, what closing it takes, what to read next",
    )
    .argument("<folder>", "a job folder whose trials.csv has gaps read on the bench cell")
    .option(
      "--saw <joint at seen>",
      'what you saw in the last cell read: "hinge-1 mitre heel open", or closed, or tight; may be repeated',
      repeated,
    )
    .option(
      "--details",
      "also print every open or pressed joint with what makes it so, and every error source",
    )
    .option("--out <folder>", "draw the likely causes into this folder")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the draws", seed, 1)
    .action(async (folder: string, flags: ExplainFlags) => {
      const { explainCommand } = await import("./explain-report.js");
      print(await explainCommand(folder, flags));
    });
};
