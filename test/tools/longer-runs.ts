import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";

/** A run of tests: its command, and the ending of its files' names. */
export const RUNS = [
  { command: "npm test", ending: ".test.ts" },
  { command: "npm run test:long", ending: ".long.test.ts" },
  { command: "npm run test:browser", ending: ".browser.test.ts" },
  { command: "npm run test:docs", ending: ".docs.test.ts" },
] as const;

/** The run that a test file belongs to: that of the longest ending. */
export function runOf(file: string): (typeof RUNS)[number]["command"] {
  const fitting = RUNS.filter(({ ending }) => file.endsWith(ending));
  return fitting.reduce((one, other) => (other.ending.length > one.ending.length ? other : one)).command;
}

/** Every test file of the project, relative to its folder `test`. */
export function testFiles(): string[] {
  return readdirSync(resolve(import.meta.dirname, ".."), { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".test.ts"))
    .sort();
}

/** The quick test files with tests that only the longer run does (`longIt`), relative to the folder `test`. */
export const filesWithLonger = (): string[] =>
  testFiles().filter(
    (name) =>
      runOf(name) === "npm test" &&
      /^import \{ longIt \}/m.test(readFileSync(resolve(import.meta.dirname, "..", name), "utf8")),
  );

const shortName = (file: string): string => file.replace(/^.*\//, "").replace(/\..*$/, "");

/** What `npm test` leaves to the longer runs, as lines. */
export function leftOver(files: readonly string[], withLonger: readonly string[]): string[] {
  const longer = RUNS.slice(1).map(({ command }) => {
    const own = files.filter((file) => runOf(file) === command);
    const names = own.map(shortName);
    return `  ${command.padEnd(22)}${names.join(", ")}`;
  });
  return [
    "Left to longer runs (bash .ci/run runs them all):",
    ...longer,
    `  npm run test:long     the tests skipped above, of ${withLonger.map(shortName).join(", ")}`,
    "  npm run validate      every check against known figures, as one table",
    "  npm run study         coverage, bias and advice of the fit on simulated shops",
    "  npm run fuzz          more spoilt files and texts than the 2,000 of npm run test:long",
    "  every notebook, through our runner and through Jupyter",
  ];
}

/** A reporter that ends a run with what it leaves out. */
export default class LongerRuns {
  onTestRunEnd(): void {
    console.log(
      `\n${leftOver(
        testFiles().map((name) => join("test", name)),
        filesWithLonger(),
      ).join("\n")}\n`,
    );
  }
}
