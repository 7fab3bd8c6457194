import type { Command } from "commander";
import type { DrawFlags } from "../features/draw/draw-command.js";
import type { ExplainFlags } from "../features/explain/explain-command.js";
import type { MysteryFlags } from "../features/mystery/mystery-command.js";
import type { PageFlags } from "../features/play/play-command.js";
import { faults, odds, pixels, seed } from "./option-values.js";
import type { CommandTools } from "./workshop-commands.js";

const oneMore = (text: string, before: readonly string[] = []): string[] => [...before, text];

/** The commands for someone who studies or teaches why joints gap. */
export function addLearningCommands(program: Command, { print, progress }: CommandTools): void {
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
      "odds of several causes at once against any one (as many as there are causes); 0 leaves it out",
      odds,
    )
    .option("--out <folder>", "draw the likely causes into this folder")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the draws", seed, 1)
    .action(async (folder: string, flags: ExplainFlags) => {
      const { explainCommand } = await import("../features/explain/explain-command.js");
      print(await explainCommand(folder, flags));
    });

  program
    .command("draw")
    .description("a chart or drawing of a job, or a page of the pattern book, as SVG or PNG")
    .argument("[name]", "the picture; left out, what there is is listed")
    .option("--job <folder>", "a job's folder: its pictures")
    .option("--notebook <file>", "or an executed notebook: every picture it shows")
    .option("--table <file>", "or the table of repeated readings (gauge) or of a batch (batch)")
    .option("--out <file>", "where it goes: a file ending in .svg or .png")
    .option("--width <pixels>", "its width", pixels)
    .option("--seed <number>", "seed of what is drawn by lot", seed, 1)
    .action(async (name: string | undefined, flags: DrawFlags) => {
      const { drawCommand } = await import("../features/draw/draw-command.js");
      print(await drawCommand(name, flags, progress));
    });

  program
    .command("page")
    .description("a page to play with: sliders for all that may be off, the cell drawn live; no network")
    .requiredOption("--out <file>", "where the page goes")
    .option("--job <folder>", "a job whose cell, jigs and stops it has (60 mm opening, 3 mm strips)")
    .action(async (flags: PageFlags) => {
      const { pageCommand } = await import("../features/play/play-command.js");
      print(pageCommand(flags));
    });

  program
    .command("mystery")
    .description(
      "a shop with hidden faults and its trial cuts, to find out what is wrong; and the marking of an answer",
    )
    .option("--seed <number>", "makes the mystery of this number", seed)
    .option("--faults <number>", "how many things are wrong, 1 to 3", faults, 2)
    .option("--pattern <name>", "the infill of its cells (asanoha-square)")
    .option("--out <folder>", "where it goes (mystery-SEED)")
    .option("--mark <folder>", "marks an answer to the mystery in this folder, and tells the truth")
    .option("--answer <file>", "the answer (answer.yaml in that folder)")
    .option("--give-up", "show the truth without an answer")
    .option("--json", "print the marking in mm and radians, for other programs")
    .action(async (flags: MysteryFlags) => {
      const { mysteryCommand } = await import("../features/mystery/mystery-command.js");
      print(mysteryCommand(flags));
    });
}
