import { type AddCommand, odds, repeated, seed } from "../../cli/arguments.js";
import type { ExplainFlags } from "./explain-report.js";

export const addExplain: AddCommand = (program, { print }) => {
  program
    .command("explain")
    .description("why an assembled cell gaps: the likely causes, and the check that tells the best two apart")
    .argument("<folder>", "a job folder whose trials.csv has gaps read on the bench cell")
    .option(
      "--saw <joint at seen>",
      'what an eye saw: "hinge-1.end-right heel open", closed or tight; may be repeated',
      repeated,
    )
    .option("--off-centre <length>", "also look for points off their strip's middle, by about this length")
    .option(
      "--several-odds <number>",
      "odds of several causes at once against any one (as many as there are causes); 0 leaves it out",
      odds,
    )
    .option("--out <folder>", "draw the likely causes into this folder")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the draws", seed, 1)
    .action(async (folder: string, flags: ExplainFlags) => {
      const { explainCommand } = await import("./explain-report.js");
      print(await explainCommand(folder, flags));
    });
};
