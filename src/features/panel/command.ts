import { Option } from "commander";
import { type AddCommand, panels, seed, threads } from "../../cli/arguments.js";
import { addEvidence } from "../evidence/index.js";
import { PANEL_WAYS } from "./grid-shape.js";
import type { PanelFlags } from "./panel-report.js";

export const addPanel: AddCommand = (program, { print, progress }) => {
  const command = program
    .command("panel")
    .description(
      "how likely it is that every cell of a panel closes, how many cells will need a piece re-fitted, where and why",
    )
    .argument("<folder>", "a job folder whose job.yaml has a panel")
    .option("--panels <number>", "simulated panels (10000)", panels)
    .addOption(
      new Option(
        "--way <way>",
        "how pieces are made: as cut, sorted into cells, or fitted by trial (default: as the job says)",
      ).choices(PANEL_WAYS),
    )
    .addOption(
      new Option(
        "--order <order>",
        "how simulated cells are worked out: first order (fast, default) or exact",
      ).choices(["first", "exact"]),
    )
    .option("--seed <number>", "seed of the simulated panels (1)", seed)
    .option("--threads <number>", "threads at most (as many as there are cores, up to 4)", threads)
    .option("--quick", "skip the other ways of making it and what drives the result (faster)")
    .option("--out <folder>", "draw the panel cell by cell, and what drives the result, into this folder")
    .option("--png", "draw as PNG, not as SVG")
    .option("--details", "also print the tables behind the answer")
    .option("--json", "print the numbers, in mm and degrees, for other programs");
  addEvidence(command).action(async (folder: string, flags: PanelFlags) => {
    const { panelCommand } = await import("./panel-report.js");
    print(await panelCommand(folder, flags, progress));
  });
};
