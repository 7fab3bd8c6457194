import { type AddCommand, repeated } from "../../cli/arguments.js";
import type { PatternFlags } from "./pattern-report.js";

export const addPattern: AddCommand = (program, { print }) => {
  program
    .command("pattern")
    .description("the infills there are; or one of them, or a file of your own, checked, described and drawn")
    .argument("[pattern]", "a pattern's name, or a pattern file; left out, the patterns there are are listed")
    .option("--size <name=size>", "one of its sizes; may be repeated", repeated)
    .option("--out <file>", "draw it: a file ending in .svg or .png; what does not meet is ringed")
    .action(async (pattern: string | undefined, flags: PatternFlags) => {
      const { patternCommand } = await import("./pattern-report.js");
      print(await patternCommand(pattern, flags));
    });
};
