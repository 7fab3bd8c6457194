import type { Command } from "commander";
import type { CutListFlags } from "../features/cutlist/cutlist-command.js";
import type { SeasonFlags } from "../features/season/season-command.js";
import type { ToleranceFlags } from "../features/tolerances/tolerances-command.js";
import { chance, seasonCells, seed } from "./option-values.js";
import type { CommandTools } from "./workshop-commands.js";

/** The commands around a whole screen: what to cut from which stock, how good each tool must be, what the year does to it. */
export function addMakingCommands(program: Command, { print, progress }: CommandTools): void {
  program
    .command("cutlist")
    .description(
      "what to cut for the whole screen: pieces and spares, set-ups, sticks, what scrap can become",
    )
    .argument("<folder>", "a job folder; its sections stock and panel say what of")
    .option("--out <folder>", "write a page to print, and tables for a spreadsheet (.csv)")
    .option("--seed <number>", "seed of the simulated pieces", seed, 1)
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (folder: string, flags: CutListFlags) => {
      const { cutListCommand } = await import("../features/cutlist/cutlist-command.js");
      print(cutListCommand(folder, flags, new Date()));
    });

  program
    .command("tolerances")
    .description(
      "how good each ramp, stop, thickness and lap must be for the cells to close, at the least cost",
    )
    .argument("<folder>", "a job folder; its section tolerances says what is wanted and what precision costs")
    .option("--chance <share>", "chance that a cell closes, in the place of the job's (0.9)", chance)
    .option("--no-curve", "leave out what other chances would cost")
    .option("--out <file>", "write the trade-off as an .svg file")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (folder: string, flags: ToleranceFlags) => {
      const { tolerancesCommand } = await import("../features/tolerances/tolerances-command.js");
      print(await tolerancesCommand(folder, flags, progress));
    });

  program
    .command("season")
    .description("moisture, thickness and gaps through the year, where the screen will hang")
    .argument("<folder>", "a job folder whose job.yaml has a section season")
    .option("--cells <number>", "cells followed through the year (4096)", seasonCells)
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .option("--out <file>", "write the chart of the year as an .svg file")
    .option("--json", "print the numbers, in mm, °C and per cent, for other programs")
    .action(async (folder: string, flags: SeasonFlags) => {
      const { seasonCommand } = await import("../features/season/season-command.js");
      print(await seasonCommand(folder, flags, progress));
    });
}
