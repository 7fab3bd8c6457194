import type { AddCommand } from "../../cli/arguments.js";
import type { PageFlags } from "./live-page.js";

export const addPage: AddCommand = (program, { print }) => {
  program
    .command("page")
    .description("a page to play with: sliders for all that may be off, the cell drawn live; no network")
    .requiredOption("--out <file>", "where the page goes")
    .option("--job <folder>", "a job whose cell, jigs and stops it has (60 mm opening, 3 mm strips)")
    .action(async (flags: PageFlags) => {
      const { pageCommand } = await import("./live-page.js");
      print(pageCommand(flags));
    });
};
