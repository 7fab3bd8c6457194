import { type AddCommand, seconds } from "../../cli/arguments.js";
import type { NotebookFlags } from "./notebook.js";

export const addNotebook: AddCommand = (program, { print, progress }) => {
  program
    .command("notebook")
    .description("run a notebook on a job and write it as a page, with the executed notebook")
    .argument(
      "<name>",
      "a notebook of this project by its name, or one of your own by its path (it is a program, and is run)",
    )
    .requiredOption("--job <folder>", "the job's folder")
    .requiredOption("--out <folder>", "where the report goes")
    .option("--card", "print the set-up card as well")
    .option("--cell-limit <seconds>", "how long a cell may run (600)", seconds)
    .action(async (name: string, flags: NotebookFlags) => {
      const { notebookCommand } = await import("./notebook.js");
      print(await notebookCommand(name, flags, progress));
    });
};
