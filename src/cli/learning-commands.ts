import type { Command } from "commander";
import type { ExplainFlags } from "./explain.js";

export interface LearningTools {
  readonly print: (text: string) => void;
  readonly wholeNumber: (text: string) => number;
}

const oneMore = (text: string, before: readonly string[] = []): string[] => [...before, text];

/** The commands for someone who studies or teaches why joints gap. */
export function addLearningCommands(program: Command, { print, wholeNumber }: LearningTools): void {
  program
    .command("explain")
    .description("why an assembled cell gaps: the likely causes, and the check that tells the best two apart")
    .argument("<folder>", "a job folder whose trials.csv has gaps read on the bench cell")
    .option(
      "--saw <joint at seen>",
      'what an eye saw: "hinge-1.end-right heel open", closed or tight; may be repeated',
      oneMore,
    )
    .option("--off-centre <length>", "how far a point may stand off its strip's middle: also look for that")
    .option(
      "--several-odds <number>",
      "odds of several causes at once against any one; 0 leaves it out",
      wholeNumber,
      1,
    )
    .option("--out <folder>", "draw the likely causes into this folder")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the draws", wholeNumber, 1)
    .action(async (folder: string, flags: ExplainFlags) => {
      const { explainCommand } = await import("./explain.js");
      print(await explainCommand(folder, flags));
    });
}
