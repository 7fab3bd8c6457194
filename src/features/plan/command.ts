import { Option } from "commander";
import { type AddCommand, chance, minutes, seed, trials } from "../../cli/arguments.js";
import { addWithoutReadings } from "../evidence/index.js";
import type { PlanFlags } from "./plan-report.js";

export const addPlan: AddCommand = (program, { print, progress }) => {
  const command = program
    .command("plan")
    .description("which trial pieces to cut next, before or after the first readings")
    .argument("<folder>", "a job folder with job.yaml, and trials.csv once there is one")
    .addOption(
      new Option("--aim <what>", "gap: the widest gap of a cell; all: every jig and stop")
        .choices(["gap", "all"])
        .default("gap"),
    )
    .option("--trials <number>", "plan at most this many trial pieces (6)", trials)
    .option("--minutes <number>", "plan at most this many minutes of work", minutes)
    .option(
      "--sure <share>",
      "how sure you want to be that more measuring would not change the advice (0.9)",
      chance,
    )
    .option("--out <file>", "write the planned readings as a table of trials to fill in")
    .option("--details", "also print the tables behind the answer")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the errors a shop might have", seed, 1);
  addWithoutReadings(command).action(async (folder: string, flags: PlanFlags) => {
    const { planCommand } = await import("./plan-report.js");
    print(planCommand(folder, flags, progress));
  });
};
