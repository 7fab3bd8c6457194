import type { AddCommand } from "../../cli/arguments.js";
import type { MakeFlags } from "./make-report.js";

export const addMake: AddCommand = (program, { print }) => {
  program
    .command("make")
    .description(
      "jigs to make, with their sizes; laps, order of fitting, glue: a text and a page of drawings",
    )
    .argument("<folder>", "a job folder")
    .option("--out <file>", "write the drawings as one page to print (.html)")
    .option("--details", "print every size and check as well")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (folder: string, flags: MakeFlags) => {
      const { makeCommand } = await import("./make-report.js");
      print(makeCommand(folder, flags, new Date()));
    });
};
