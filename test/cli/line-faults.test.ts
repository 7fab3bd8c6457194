import { Command, Option } from "commander";
import { describe, expect, it } from "vitest";
import { plainLineFaults } from "../../src/cli/line-faults.js";

/** What a program like ours prints for a line. */
function saidTo(...line: string[]): string {
  let said = "";
  const program = new Command("sukima").exitOverride();
  program.configureOutput({ writeErr: (text) => (said += text) });
  program
    .command("card")
    .argument("<folder>", "a job folder with job.yaml")
    .requiredOption("--out <file>", "where the page goes")
    .addOption(new Option("--units <unit>", "the units").choices(["mm", "in"]))
    .action(() => {});
  for (const command of [program, ...program.commands]) plainLineFaults(command);
  try {
    program.parse(line, { from: "user" });
  } catch {
    // Commander throws what it has printed.
  }
  return said.trim();
}

describe("a command line that is wrong is told in whole sentences", () => {
  it.each([
    [
      ["card", "my-screen"],
      "sukima card needs --out: where the page goes. Write for example: sukima card my-screen --out card.html",
    ],
    [
      ["card", "--out", "a.html"],
      "sukima card needs a job folder with job.yaml. Write for example: sukima card my-screen --out card.html",
    ],
    [["card", "a", "--out"], "--out needs a value: where the page goes."],
    [["crad"], "There is no command crad. Did you mean card? sukima --help lists the commands."],
    [
      ["card", "a", "--out", "b", "--unist", "in"],
      "sukima card has no option --unist. Did you mean --units? sukima card --help lists its options.",
    ],
    [["card", "a", "--out", "b", "--units", "cm"], "--units must be mm or in; got “cm”."],
    [
      ["card", "a", "b", "--out", "c"],
      "sukima card was given more names than it takes. Put a name with spaces between quotes. Write for example: sukima card my-screen --out card.html",
    ],
  ])("%s", (line, expected) => {
    expect(saidTo(...line)).toBe(expected);
  });
});
