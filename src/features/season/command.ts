import { type AddCommand, seasonCells, seed } from "../../cli/arguments.js";
import { addEvidence } from "../evidence/index.js";
import type { SeasonFlags } from "./season-report.js";

export const addSeason: AddCommand = (program, { print, progress }) => {
  const command = program
    .command("season")
    .description("moisture, thickness and gaps through the year, where the screen will hang")
    .argument("<folder>", "a job folder whose job.yaml has a section season")
    .option("--cells <number>", "cells followed through the year (4096)", seasonCells)
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .option("--out <file>", "draw the year: a file ending in .svg or .png")
    .option("--details", "also print the tables behind the answer")
    .option("--json", "print the numbers, in mm, °C and per cent, for other programs");
  addEvidence(command).action(async (folder: string, flags: SeasonFlags) => {
    const { seasonCommand } = await import("./season-report.js");
    print(await seasonCommand(folder, flags, progress));
  });
};
