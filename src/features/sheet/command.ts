import { Option } from "commander";
import type { AddCommand } from "../../cli/arguments.js";
import type { SheetFlags } from "./sheet-page.js";

export const addSheet: AddCommand = (program, { print }) => {
  program
    .command("sheet")
    .description("a page for the bench: shop, readings and card on a phone, without any network")
    .argument("[folder]", "a job folder; without one the page starts with an empty shop")
    .requiredOption("--out <file>", "where the page goes, an .html file")
    .addOption(
      new Option("--units <unit>", "without a folder: the units that the page begins with")
        .choices(["mm", "in"] as const)
        .default("mm"),
    )
    .action(async (folder: string | undefined, flags: SheetFlags) => {
      const { sheetCommand } = await import("./sheet-page.js");
      print(sheetCommand(folder, flags));
    });
};
