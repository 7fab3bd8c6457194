import type { AddCommand } from "../../cli/arguments.js";
import type { GaugeFlags } from "./gauge-report.js";

export const addGauge: AddCommand = (program, { print }) => {
  program
    .command("gauge")
    .description("how well an instrument repeats and its readers agree, from repeated readings")
    .argument(
      "<file>",
      "a table with the columns part and value, and if they vary reader, instrument and unit",
    )
    .option(
      "--tolerance <width>",
      "full width of the tolerance you have to check, in the table's unit or with its own: 0.3, 8 thou",
    )
    .option("--details", "also print the tables behind the answer")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (file: string, flags: GaugeFlags) => {
      const { gaugeCommand } = await import("./gauge-report.js");
      print(gaugeCommand(file, flags));
    });
};
