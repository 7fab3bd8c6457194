import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { type BenchLine, lineOf, ratios, skippedLine } from "./bench-line.js";
import { inTurn, withBuild } from "./start-lines.js";

const DEMO = "data/alcove-screen";

/** What a maker waits for: the command's arguments after a build's main file, and the ratio to an empty program that is wanted in the end. */
const COMMANDS: readonly {
  readonly name: string;
  readonly args: readonly string[];
  readonly wanted: number;
}[] = [
  { name: "--help", args: ["calibrate", "--help"], wanted: 4 },
  { name: "predict", args: ["predict", DEMO], wanted: 4 },
  { name: "calibrate", args: ["calibrate", DEMO], wanted: 15 },
  { name: "card", args: ["card", DEMO, "--out", "card.html"], wanted: 15 },
  { name: "explain", args: ["explain", DEMO], wanted: 25 },
  { name: "predict --uncertain", args: ["predict", DEMO, "--uncertain"], wanted: 40 },
  { name: "panel", args: ["panel", DEMO], wanted: 40 },
  { name: "tolerances", args: ["tolerances", DEMO], wanted: 60 },
];

/**
 * Processor time of each command on the demonstration job over that of a Node that does nothing; with an earlier build the same for that, on its own demonstration job, and the ratio of the
 * two. All run in turn. The ratios wanted are shown, and no line fails by them: docs/speed.md says how far they are met.
 *
 * @param against folder with a build, or a commit that is built in a temporary worktree.
 * @param named commands to time, by their names here; all where none is named.
 */
export function commandLines(
  repeats: number,
  against: string | undefined,
  named: readonly string[] = [],
): BenchLine[] {
  const unknown = named.find((name) => !COMMANDS.some((command) => command.name === name));
  if (unknown !== undefined)
    throw new RangeError(
      `There is no command ${unknown}; there are ${COMMANDS.map(({ name }) => name).join(", ")}.`,
    );
  const commands = COMMANDS.filter(({ name }) => named.length === 0 || named.includes(name));
  const folder = mkdtempSync(join(tmpdir(), "sukima-commands-"));
  try {
    if (against === undefined) return linesOf(commands, [{ root: PACKAGE_ROOT, where: "" }], repeats, folder);
    return withBuild(against, (earlier) =>
      linesOf(
        commands,
        [
          { root: PACKAGE_ROOT, where: "" },
          { root: earlier, where: ` at ${against}` },
        ],
        repeats,
        folder,
      ),
    );
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

interface Build {
  readonly root: string;
  /** Which build it is, behind the name of a line. */
  readonly where: string;
}

const commandOf = (root: string, args: readonly string[], folder: string): string[] => [
  join(root, "dist/cli/main.js"),
  ...args.map((arg) => (arg === DEMO ? join(root, DEMO) : arg === "card.html" ? join(folder, arg) : arg)),
];

function linesOf(
  commands: typeof COMMANDS,
  builds: readonly Build[],
  repeats: number,
  folder: string,
): BenchLine[] {
  const programs = commands.flatMap(({ args }) => builds.map(({ root }) => commandOf(root, args, folder)));
  const [empty = [], ...times] = inTurn([["-e", "0"], ...programs], repeats, { warm: false });
  const timesOf = (command: number, build: number): number[] => times[command * builds.length + build] ?? [];
  return commands.flatMap(({ name, wanted }, i) => [
    ...builds.map(({ where }, b) => {
      const title = `sukima ${name} / node -e 0${where}`;
      const own = timesOf(i, b);
      if (own.some(Number.isNaN)) return skippedLine(title, "this build does not run it");
      return lineOf(
        title,
        ratios(own, empty),
        null,
        "at most",
        null,
        b === 0 ? `wanted: at most ${wanted}` : "",
      );
    }),
    ...(builds.length > 1 && !timesOf(i, 1).some(Number.isNaN)
      ? [lineOf(`sukima ${name}, now / then`, ratios(timesOf(i, 0), timesOf(i, 1)), null, "at most", null)]
      : []),
  ]);
}
