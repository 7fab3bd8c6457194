import { type AddCommand, pictureWidth, seed } from "../../cli/arguments.js";
import type { DrawFlags } from "./draw.js";

export const addDraw: AddCommand = (program, { print, progress }) => {
  program
    .command("draw")
    .description("a chart or drawing of a job, or a page of the pattern book, as SVG or PNG")
    .argument("[name]", "the picture's name; without it, all names are listed")
    .option("--job <folder>", "a job's folder: its pictures")
    .option("--notebook <file>", "or an executed notebook: every picture it shows")
    .option("--table <file>", "or the table of repeated readings (gauge) or of a batch (batch)")
    .option("--out <file>", "where it goes: a file ending in .svg or .png; with --all a folder")
    .option("--all", "draw every picture there is into the folder --out; the fit is made once")
    .option("--png", "with --all: as PNG, not as SVG")
    .option("--width <pixels>", "its width", pictureWidth)
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .action(async (name: string | undefined, flags: DrawFlags) => {
      const { drawCommand } = await import("./draw.js");
      print(await drawCommand(name, flags, progress));
    });
};
