import { type AddCommand, amount } from "../../cli/arguments.js";
import type { GaugeFlags } from "./gauge-report.js";

export const addGauge: AddCommand = (program, { print }) => {
  program
    .command("gauge")
    .description("how far an instrument repeats and its readers agree, from repeated readings")
    .argument("<file>", "a table with part and value, and where they differ reader, instrument and unit")
    .option("--tolerance <width>", "full width of the tolerance it is for, mm or degrees", amount)
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (file: string, flags: GaugeFlags) => {
      const { gaugeCommand } = await import("./gauge-report.js");
      print(gaugeCommand(file, flags));
    });
};
