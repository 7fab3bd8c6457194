import { Option } from "commander";
import { type AddCommand, chance, minutes, seed, trials } from "../../cli/arguments.js";
import type { PlanFlags } from "./plan-report.js";

export const addPlan: AddCommand = (program, { print, progress }) => {
  program
    .command("plan")
    .description("which trial pieces to cut next, before any data exist or after")
    .argument("<folder>", "a job folder with job.yaml, and trials.csv once there is one")
    .addOption(
      new Option("--aim <what>", "gap: the widest gap of a cell; all: every jig and stop")
        .choices(["gap", "all"])
        .default("gap"),
    )
    .option("--trials <number>", "most trial pieces to plan (6)", trials)
    .option("--minutes <number>", "most minutes they may take together", minutes)
    .option("--sure <share>", "chance with which the verdict is to be safe (0.9)", chance)
    .option("--out <file>", "write the planned readings as a table of trials to fill in")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the errors a shop might have", seed, 1)
    .action(async (folder: string, flags: PlanFlags) => {
      const { planCommand } = await import("./plan-report.js");
      print(planCommand(folder, flags, progress));
    });
};
