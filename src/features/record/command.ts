import { type AddCommand, seed } from "../../cli/arguments.js";
import type { RecordFlags } from "./record-yaml.js";

export const addRecord: AddCommand = (program, { print, progress }) => {
  program
    .command("record")
    .description("save what was found about the jigs, as the starting point of the next job")
    .argument("<folder>", "a job folder with job.yaml and trials.csv")
    .requiredOption("--out <file>", "where the record goes")
    .option("--moved", "the moves on the card have been made: record the jigs as they are now")
    .option("--seed <number>", "seed of the simulated cells", seed, 1)
    .action(async (folder: string, flags: RecordFlags) => {
      const { recordCommand } = await import("./record-yaml.js");
      print(recordCommand(folder, flags, progress));
    });
};
