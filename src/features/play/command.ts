import type { AddCommand } from "../../cli/arguments.js";
import type { PageFlags } from "./live-page.js";

export const addPage: AddCommand = (program, { print }) => {
  program
    .command("page")
    .description(
      "a page to play with: a slider for every error, and the cell drawn as you move it; no network",
    )
    .requiredOption("--out <file>", "where the page goes")
    .option(
      "--job <folder>",
      "take the cell, jigs and stops of this job (default: opening 60 mm, strips 3 mm)",
    )
    .action(async (flags: PageFlags) => {
      const { pageCommand } = await import("./live-page.js");
      print(pageCommand(flags));
    });
};
