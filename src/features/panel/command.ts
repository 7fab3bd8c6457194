import { Option } from "commander";
import { type AddCommand, panels, seed, threads } from "../../cli/arguments.js";
import { PANEL_WAYS } from "./grid-shape.js";
import type { PanelFlags } from "./panel-report.js";

export const addPanel: AddCommand = (program, { print }) => {
  program
    .command("panel")
    .description("how likely every cell of a panel closes, how many to re-fit, where and why")
    .argument("<folder>", "a job folder whose job.yaml has a panel")
    .option("--panels <number>", "simulated panels (10000)", panels)
    .addOption(
      new Option("--way <way>", "how its pieces are made (as the job's lengths say)").choices(PANEL_WAYS),
    )
    .addOption(new Option("--order <order>", "seat simulated cells so (first)").choices(["first", "exact"]))
    .option("--seed <number>", "seed of the simulated panels (1)", seed)
    .option("--threads <number>", "threads at most (as many as there are cores, up to 4)", threads)
    .option("--quick", "leave out the other ways of making it and what drives it")
    .option("--out <folder>", "draw the panel cell by cell, and what drives it, there")
    .option("--png", "draw as PNG, not as SVG")
    .option("--json", "print the numbers, in mm and degrees, for other programs")
    .action(async (folder: string, flags: PanelFlags) => {
      const { panelCommand } = await import("./panel-report.js");
      print(await panelCommand(folder, flags));
    });
};
