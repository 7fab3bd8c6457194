import { type AddCommand, seed } from "../../cli/arguments.js";
import type { CalibrateFlags, CardFlags } from "./calibration-report.js";

export const addCalibrate: AddCommand = (program, { print, progress }) => {
  program
    .command("calibrate")
    .description("what the trial cuts say of each jig and stop, and what to change")
    .argument("<folder>", "a job folder with job.yaml and trials.csv")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .action(async (folder: string, flags: CalibrateFlags) => {
      const { calibrateCommand } = await import("./calibration-report.js");
      print(calibrateCommand(folder, flags, progress));
    });
};

export const addCard: AddCommand = (program, { print, progress }) => {
  program
    .command("card")
    .description("the set-up card as a page to print: drawings, moves, checks, cautions")
    .argument("<folder>", "a job folder with job.yaml and trials.csv")
    .requiredOption("--out <file>", "where the page goes, an .html file")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .action(async (folder: string, flags: CardFlags) => {
      const { cardCommand } = await import("./calibration-report.js");
      print(cardCommand(folder, flags, progress));
    });
};
