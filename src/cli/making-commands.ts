import type { Command } from "commander";
import type { SeasonFlags } from "./season.js";
import type { CommandTools } from "./workshop-commands.js";

/** The commands around a whole screen: what to cut from which stock, how good each tool must be, what the year does to it. */
export function addMakingCommands(program: Command, { print, progress, wholeNumber }: CommandTools): void {
  program
    .command("season")
    .description("moisture, thickness and gaps through the year, where the screen will hang")
    .argument("<folder>", "a job folder whose job.yaml has a section season")
    .option("--cells <number>", "cells followed through the year (4096)", wholeNumber)
    .option("--seed <number>", "seed of the simulated cells", wholeNumber, 1)
    .option("--out <file>", "write the chart of the year as an .svg file")
    .option("--json", "print the numbers, in mm, °C and per cent, for other programs")
    .action(async (folder: string, flags: SeasonFlags) => {
      const { seasonCommand } = await import("./season.js");
      print(await seasonCommand(folder, flags, progress));
    });
}
