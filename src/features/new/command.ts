import { Option } from "commander";
import type { AddCommand } from "../../cli/arguments.js";
import type { NewFlags } from "./new-job.js";

export const addNew: AddCommand = (program, { print }) => {
  program
    .command("new")
    .description("write a starter job with comments and an empty table of readings into a new folder")
    .argument("<folder>", "the new job's folder")
    .addOption(
      new Option("--units <unit>", "the units of your shop").choices(["mm", "in"] as const).default("mm"),
    )
    .option("--pattern <name>", "the infill (asanoha-square); “sukima pattern” lists them")
    .action(async (folder: string, flags: NewFlags) => {
      const { newCommand } = await import("./new-job.js");
      print(newCommand(folder, flags));
    });
};
