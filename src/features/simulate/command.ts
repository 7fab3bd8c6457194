import type { AddCommand } from "../../cli/arguments.js";
import type { SimulateFlags } from "./simulate.js";

export const addSimulate: AddCommand = (program, { print }) => {
  program
    .command("simulate")
    .description("fill a planned trials table with what a shop with known errors would read")
    .argument("<folder>", "a job folder with job.yaml, truth.yaml and plan.csv")
    .option("--out <file>", "where the table goes; printed when absent")
    .action(async (folder: string, flags: SimulateFlags) => {
      const { simulateCommand } = await import("./simulate.js");
      print(simulateCommand(folder, flags));
    });
};
