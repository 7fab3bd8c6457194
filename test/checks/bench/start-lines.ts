import { execFileSync, spawnSync } from "node:child_process";
import { existsSync, mkdtempSync, rmSync, symlinkSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { type BenchLine, lineOf, ratios, skippedLine } from "./bench-line.js";

const CORE = "import of sukima/core over an empty program";
const CALIBRATE = "sukima calibrate data/alcove-screen over an earlier build";

/** Programs are started this many times for each repeat that the bench asks for: each takes a fraction of a second. */
const STARTS = 3;

/**
 * What a start costs in processor time: the import of `sukima/core` against a Node that does nothing, and a whole
 * calibration against that of another build.
 *
 * @param against folder with a build, or a commit that is built in a temporary worktree; `undefined` leaves that line out.
 */
export function startLines(repeats: number, against: string | undefined): BenchLine[] {
  const core = inTurn(
    [
      ["-e", "import('sukima/core')"],
      ["-e", "0"],
    ],
    STARTS * repeats,
  );
  const [imported, empty] = core;
  const lines = [lineOf(CORE, ratios(imported!, empty!), 1.5, "at most", null)];
  if (against === undefined)
    return [...lines, skippedLine(CALIBRATE, "no earlier build was named: --against COMMIT or FOLDER")];
  return withBuild(against, (earlier) => {
    const command = (root: string): string[] => [
      join(root, "dist/cli/main.js"),
      ...["calibrate", join(root, "data/alcove-screen")],
    ];
    const [now, before] = inTurn([command(PACKAGE_ROOT), command(earlier)], repeats);
    if ([...now!, ...before!].some(Number.isNaN))
      throw new Error(`A calibration that is timed failed, here or at ${against}.`);
    return [...lines, lineOf(CALIBRATE, ratios(now!, before!), 0.5, "at most", null, `against ${against}`)];
  });
}

/**
 * Processor time of each program in every repeat, seconds, NaN for one that fails; the programs run in turn, so that what disturbs one disturbs all.
 *
 * @param warm whether each runs once before, so that its files are at hand; default true.
 */
export function inTurn(
  programs: readonly (readonly string[])[],
  repeats: number,
  { warm = true }: { readonly warm?: boolean } = {},
): number[][] {
  const times = programs.map((): number[] => []);
  for (let repeat = warm ? -1 : 0; repeat < repeats; repeat++)
    for (const [i, args] of programs.entries()) {
      const time = processorTime(args);
      if (repeat >= 0) times[i]!.push(time);
    }
  return times;
}

/** Of a Node program with all its threads, s: what the system counts for processes that have ended; NaN where it fails. */
function processorTime(args: readonly string[]): number {
  const timed = [
    "-c",
    'TIMEFORMAT="%U %S"; time "$@" >/dev/null 2>/dev/null',
    "bash",
    process.execPath,
    ...args,
  ];
  const { status, stderr } = spawnSync("bash", timed, { cwd: PACKAGE_ROOT, encoding: "utf8" });
  if (status !== 0) return Number.NaN;
  const [user = Number.NaN, system = Number.NaN] = stderr.trim().split(" ").map(Number);
  return user + system;
}

/** Runs with the folder of a build: one that is there, or that of a commit, built for the purpose. */
export function withBuild<T>(against: string, use: (folder: string) => T): T {
  if (existsSync(join(against, "dist/cli/main.js"))) return use(resolve(against));
  const folder = mkdtempSync(join(tmpdir(), "sukima-earlier-"));
  const git = (...args: string[]): void =>
    void execFileSync("git", args, { cwd: PACKAGE_ROOT, stdio: "ignore" });
  try {
    git("worktree", "add", "--detach", folder, against);
    symlinkSync(join(PACKAGE_ROOT, "node_modules"), join(folder, "node_modules"));
    execFileSync("npm", ["run", "--silent", "build"], { cwd: folder, stdio: "ignore" });
    return use(folder);
  } finally {
    git("worktree", "remove", "--force", folder);
    rmSync(folder, { recursive: true, force: true });
  }
}
