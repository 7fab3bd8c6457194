import { type Command, Option } from "commander";
import type { BatchFlags } from "../features/batch/batch-command.js";
import type { GaugeFlags } from "../features/gauge/gauge-command.js";
import type { PlanFlags } from "../features/plan/plan-command.js";
import type { RecordFlags } from "../features/record/record-command.js";
import { amount, chance, minutes, seed, trials } from "./option-values.js";

export interface CommandTools {
  readonly print: (text: string) => void;
  readonly progress: (step: string) => void;
}

/** The commands around a calibration: what to cut, how good the gauges are, whether a batch stays steady, what to keep of the jigs. */
export function addWorkshopCommands(program: Command, { print, progress }: CommandTools): void {
  program
    .command("plan")
    .description("which trials to cut next, before any data exist or after")
    .argument("<folder>", "a job folder with job.yaml, and trials.csv once there is one")
    .addOption(
      new Option("--aim <what>", "gap: the worst gap of a cell; all: every jig and stop")
        .choices(["gap", "all"])
        .default("gap"),
    )
    .option("--trials <number>", "most trials to plan (6)", trials)
    .option("--minutes <number>", "most minutes they may take together", minutes)
    .option("--sure <share>", "chance with which the verdict is to be safe (0.9)", chance)
    .option("--out <file>", "write the planned readings as a table of trials to fill in")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .option("--seed <number>", "seed of the errors a shop might have", seed, 1)
    .action(async (folder: string, flags: PlanFlags) => {
      const { planCommand } = await import("../features/plan/plan-command.js");
      print(planCommand(folder, flags, progress));
    });

  program
    .command("gauge")
    .description("how far an instrument repeats and its readers agree, from repeated readings")
    .argument("<file>", "a table with part and value, and where they differ reader, instrument and unit")
    .option("--tolerance <width>", "full width of the tolerance it is for, mm or degrees", amount)
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (file: string, flags: GaugeFlags) => {
      const { gaugeCommand } = await import("../features/gauge/gauge-command.js");
      print(gaugeCommand(file, flags));
    });

  program
    .command("batch")
    .description("whether the lengths or gaps of a batch stay steady, or a stop creeps")
    .argument("<file>", "a table with length or gap, one row a piece in the order of cutting")
    .option("--job <folder>", "a job whose limits give go and no-go sizes and a master")
    .option("--target <mm>", "what the pieces should be (the mean of the first)", amount)
    .option("--deviation <mm>", "standard deviation from piece to piece (from the pieces)", amount)
    .option("--json", "print the numbers, in mm, for other programs")
    .action(async (file: string, flags: BatchFlags) => {
      const { batchCommand } = await import("../features/batch/batch-command.js");
      print(batchCommand(file, flags));
    });

  program
    .command("record")
    .description("keep what the trial cuts found of the jigs, for the next job to start from")
    .argument("<folder>", "a job folder with job.yaml and trials.csv")
    .requiredOption("--out <file>", "where the record goes")
    .option("--moved", "the moves of the card have been made: record the jigs as they stand now")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .action(async (folder: string, flags: RecordFlags) => {
      const { recordCommand } = await import("../features/record/record-command.js");
      print(recordCommand(folder, flags, progress));
    });
}
