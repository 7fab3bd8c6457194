import { Option } from "commander";
import { type AddCommand, repeated } from "../../cli/arguments.js";
import type { PatternFlags } from "./pattern-report.js";

export const addPattern: AddCommand = (program, { print }) => {
  program
    .command("pattern")
    .description("list the infill patterns; or check, describe and draw one of them or your own")
    .argument(
      "[pattern]",
      "a pattern's name, or a pattern file of your own; without it, all patterns are listed",
    )
    .option("--size <name=size>", "one of its sizes; may be repeated", repeated)
    .addOption(new Option("--units <unit>", "the units of its lengths (mm)").choices(["mm", "in"] as const))
    .option("--out <file>", "draw it to this .svg or .png file; places that do not meet are ringed")
    .action(async (pattern: string | undefined, flags: PatternFlags) => {
      const { patternCommand } = await import("./pattern-report.js");
      print(await patternCommand(pattern, flags));
    });
};
