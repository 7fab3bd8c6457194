import type { AddCommand } from "../../cli/arguments.js";
import type { SimulateFlags } from "./simulate.js";

export const addSimulate: AddCommand = (program, { print }) => {
  program
    .command("simulate")
    .description("the readings that a shop with known errors would take, to practise on")
    .argument("<folder>", "a job folder with job.yaml, truth.yaml and plan.csv")
    .option("--out <file>", "where the table goes; without it, the table is printed")
    .action(async (folder: string, flags: SimulateFlags) => {
      const { simulateCommand } = await import("./simulate.js");
      print(simulateCommand(folder, flags));
    });
};
