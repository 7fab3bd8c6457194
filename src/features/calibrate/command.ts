import { type AddCommand, seed } from "../../cli/arguments.js";
import { prepareForShortRun } from "../../cli/short-run.js";
import type { CalibrateFlags, CardFlags } from "./calibration-report.js";

export const addCalibrate: AddCommand = (program, { print, progress }) => {
  program
    .command("calibrate")
    .description("what your trial pieces say about each jig and stop, and what to move")
    .argument("<folder>", "a job folder with job.yaml and trials.csv")
    .option("--details", "also print the whole card and the tables behind it")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .action(async (folder: string, flags: CalibrateFlags) => {
      prepareForShortRun();
      const { calibrateCommand } = await import("./calibration-report.js");
      print(calibrateCommand(folder, flags, progress));
    });
};

export const addCard: AddCommand = (program, { print, progress }) => {
  program
    .command("card")
    .description("the set-up card as one page to print: drawings, moves, checks and cautions")
    .argument("<folder>", "a job folder with job.yaml and trials.csv")
    .requiredOption("--out <file>", "where the page goes, an .html file")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .action(async (folder: string, flags: CardFlags) => {
      prepareForShortRun();
      const { cardCommand } = await import("./calibration-report.js");
      print(cardCommand(folder, flags, progress));
    });
};
