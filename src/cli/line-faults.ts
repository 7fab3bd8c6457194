import type { Command } from "commander";

/** How a command is typed, for an example; of the others the folder alone. */
const EXAMPLES: Readonly<Record<string, string>> = {
  card: "my-screen --out card.html",
  sheet: "--out bench.html",
  record: "my-screen --out jigs.yaml",
  page: "--out page.html",
  notebook: "01-calibrate-a-jig --job my-screen --out report",
  cutlist: "my-screen --out cutting",
  make: "my-screen --out make.html",
  gauge: "gauge.csv",
  batch: "batch.csv --job my-screen",
};

/** Makes a command say what is wrong with its line, and what to write instead, in whole sentences. */
export function plainLineFaults(command: Command): void {
  command.showHelpAfterError(false).configureOutput({
    outputError: (text, write) => write(`${lineFault(text, command)}\n`),
  });
}

/**
 * A fault of the command line as commander words it, in plain words; one that is not known here as it is.
 *
 * @example
 * lineFault("error: required option '--out <file>' not specified", card)
 * // "sukima card needs --out: where the page goes, an .html file. Write for example: sukima card my-screen --out card.html"
 */
export function lineFault(text: string, command: Command): string {
  const plain = text.replace(/^error: /, "").trim();
  const name = command.parent === null ? "sukima" : `sukima ${command.name()}`;
  const example =
    command.parent === null
      ? "sukima --help lists the commands."
      : `Write for example: ${name} ${EXAMPLES[command.name()] ?? "my-screen"}`;
  const guess = /\(Did you mean (.+?)\?\)/.exec(plain);
  const meant = guess ? ` Did you mean ${guess[1]}?` : "";
  const option = (flag: string | undefined): string =>
    command.options.find(({ long }) => long === flag)?.description ?? "";
  for (const [pattern, say] of [
    [
      /^required option '(--[\w-]+).*' not specified/,
      (flag) => `${name} needs ${flag}: ${option(flag)}. ${example}`,
    ],
    [
      /^missing required argument '(.+?)'/,
      (argument) =>
        `${name} needs ${command.registeredArguments.find((one) => one.name() === argument)?.description ?? argument}. ${example}`,
    ],
    [
      /^option '(?:-\w, )?(--[\w-]+).*' argument missing/,
      (flag) => `${flag} needs a value: ${option(flag)}.`,
    ],
    [/^unknown command '(.+?)'/, (typed) => `There is no command ${typed}.${meant} ${example}`],
    [
      /^unknown option '(.+?)'/,
      (typed) => `${name} has no option ${typed}.${meant} ${name} --help lists its options.`,
    ],
    [
      /^option '(?:-\w, )?(--[\w-]+).*?' argument '(.*?)' is invalid\. Allowed choices are (.+)\.$/,
      (flag, typed, choices = "") =>
        `${flag} must be ${choices.replace(/, (?=[^,]*$)/, " or ")}; got “${typed}”.`,
    ],
    [
      /^option '(?:-\w, )?(--[\w-]+).*?' argument '(.*?)' is invalid\. (.+)$/s,
      (flag, typed, rule) => `${flag} cannot be “${typed}”. ${rule}`,
    ],
    [
      /^too many arguments/,
      () => `${name} was given more names than it takes. Put a name with spaces between quotes. ${example}`,
    ],
  ] as readonly (readonly [RegExp, (...found: string[]) => string])[]) {
    const found = pattern.exec(plain);
    if (found) return say(...found.slice(1));
  }
  return plain;
}
