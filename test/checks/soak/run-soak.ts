import { type ChildProcess, spawn } from "node:child_process";
import { randomUUID } from "node:crypto";
import { mkdtempSync, readdirSync, readFileSync, readlinkSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { setTimeout as delay } from "node:timers/promises";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { runNotebook } from "../../../src/render/notebook/run-notebook.js";

/** How a run of the soak comes to its end. */
export const ENDINGS = ["ends", "throws", "exits", "never ends", "SIGKILL", "SIGTERM"] as const;
export type Ending = (typeof ENDINGS)[number];

/** Every cell starts a program that would run for an hour, as cells may; then it ends in its way. */
const STARTS = 'require("node:child_process").spawn("sleep", ["3600"], { stdio: "ignore" });\n';
const LASTS: Readonly<Record<Ending, string>> = {
  ends: "1 + 1",
  throws: 'throw new Error("on purpose");',
  exits: "process.exit(3);",
  "never ends": "for (;;) {}",
  SIGKILL: "for (;;) {}",
  SIGTERM: "for (;;) {}",
};
/** What the runner says of it; `null` where the runner itself is ended. */
const SAYS: Readonly<Record<Ending, string | null>> = {
  ends: "done",
  throws: "thrown",
  exits: "kernel",
  "never ends": "timeout",
  SIGKILL: null,
  SIGTERM: null,
};

/** The variable by which a process is known for one of a soak: children inherit it. */
export const MARK = "SUKIMA_SOAK";

/** What is left of the runs; each must be 0. */
export interface Leftovers {
  /** Processes that bear the mark: kernels, runners and what cells have started. */
  readonly processes: number;
  /** Files and folders below the temporary folder, the sockets of the kernels among them. */
  readonly files: number;
  /** Sockets that this process holds open, more than after the first run. */
  readonly sockets: number;
}

export interface SoakReport {
  readonly runs: number;
  readonly seed: number;
  /** Number of runs by how they were to end. */
  readonly endings: Readonly<Record<Ending, number>>;
  /** Runs that did not end as they were to. */
  readonly unexpected: readonly string[];
  readonly left: Leftovers;
}

export interface SoakOptions {
  /** ≥ 1. */
  readonly runs: number;
  /** Of the moments at which runners are killed; default 1. */
  readonly seed?: number;
  /** Told after each run; the soak ends early when it answers false. */
  readonly onRun?: (done: number) => boolean;
}

/** How long a cell that never ends may run, ms. */
const CELL_LIMIT_MS = 500;
/** How long what is left has to go after the last run, ms; what is still there then stays. */
const GRACE_MS = 60_000;

/**
 * Runs a small notebook many times, in temporary folders of its own, and counts what is left: of the runs some end well, some fail, some are stopped at their limit, and of some
 * the runner is killed at a random moment. Every run starts a program that nobody waits for. Linux only: processes are known by what /proc tells.
 */
export async function runSoak({ runs, seed = 1, onRun }: SoakOptions): Promise<SoakReport> {
  const folder = mkdtempSync(join(tmpdir(), "soak-"));
  const books = mkdtempSync(join(tmpdir(), "soak-books-"));
  const before = process.env.TMPDIR;
  const mark = randomUUID();
  const env = { ...process.env, TMPDIR: folder, [MARK]: mark };
  process.env.TMPDIR = folder;
  const stream = createStream(seed);
  const counts = Object.fromEntries(ENDINGS.map((ending) => [ending, 0])) as Record<Ending, number>;
  const unexpected: string[] = [];
  let [longest, atFirst, done] = [1000, 0, 0];
  try {
    for (let run = 0; run < runs; run++) {
      const ending = ENDINGS[run % ENDINGS.length]!;
      counts[ending]++;
      const began = performance.now();
      const how =
        ending === "SIGKILL" || ending === "SIGTERM"
          ? await endedRunner(books, env, ending, stream.uniform() * longest)
          : await ended(books, env, ending);
      if (how !== SAYS[ending]) unexpected.push(`run ${run + 1} (${ending}): ${how}`);
      // The moments of kills are spread over what a whole run takes.
      if (ending === "ends") longest = performance.now() - began;
      if (run === 0) atFirst = openSockets();
      done = run + 1;
      if (onRun?.(done) === false) break;
    }
    const left = await leftOf(mark, folder, atFirst);
    return { runs: done, seed, endings: counts, unexpected, left };
  } finally {
    if (before === undefined) delete process.env.TMPDIR;
    else process.env.TMPDIR = before;
    for (const pid of processesWith(mark)) endProcess(pid);
    for (const path of [folder, books]) rmSync(path, { recursive: true, force: true });
  }
}

const notebookOf = (ending: Ending): unknown => ({
  nbformat: 4,
  nbformat_minor: 5,
  metadata: {},
  cells: [
    {
      cell_type: "code",
      id: "a",
      metadata: {},
      execution_count: null,
      outputs: [],
      source: STARTS + LASTS[ending],
    },
  ],
});

async function ended(cwd: string, env: NodeJS.ProcessEnv, ending: Ending): Promise<string> {
  try {
    const limit = ending === "never ends" ? { cellTimeoutMs: CELL_LIMIT_MS } : {};
    const { error } = await runNotebook(notebookOf(ending), { cwd, env, ...limit });
    return error?.kind ?? "done";
  } catch (error) {
    return String(error);
  }
}

/** Starts a runner and ends it after some time, ms. @returns `null` when it is gone */
async function endedRunner(
  cwd: string,
  env: NodeJS.ProcessEnv,
  signal: "SIGKILL" | "SIGTERM",
  afterMs: number,
): Promise<null> {
  const book = join(cwd, "book.ipynb");
  writeFileSync(book, JSON.stringify(notebookOf(signal)));
  const child: ChildProcess = spawn(process.execPath, [join(import.meta.dirname, "one-run.js"), book], {
    cwd,
    env,
    stdio: "ignore",
  });
  const gone = new Promise<void>((resolve) => child.once("exit", () => resolve()));
  await delay(afterMs);
  child.kill(signal);
  await gone;
  return null;
}

/** Waits until nothing is left, or no longer; counts what is. */
export async function leftOf(
  mark: string,
  folder: string,
  socketsBefore: number,
  graceMs = GRACE_MS,
): Promise<Leftovers> {
  const until = performance.now() + graceMs;
  for (;;) {
    const left = {
      processes: processesWith(mark).length,
      files: readdirSync(folder, { recursive: true }).length,
      sockets: Math.max(0, openSockets() - socketsBefore),
    };
    const nothing = left.processes + left.files + left.sockets === 0;
    if (nothing || performance.now() > until) return left;
    await delay(50);
  }
}

/** Numbers of the processes whose environment bears the mark, this one not among them. */
export const processesWith = (mark: string): number[] =>
  readdirSync("/proc")
    .filter((name) => /^\d+$/.test(name) && Number(name) !== process.pid)
    .filter((name) => {
      try {
        return readFileSync(`/proc/${name}/environ`, "utf8").includes(`${MARK}=${mark}`);
      } catch {
        return false;
      }
    })
    .map(Number);

function openSockets(): number {
  return readdirSync("/proc/self/fd").filter((name) => {
    try {
      return readlinkSync(`/proc/self/fd/${name}`).startsWith("socket:");
    } catch {
      return false;
    }
  }).length;
}

function endProcess(pid: number): void {
  try {
    process.kill(pid, "SIGKILL");
  } catch {
    // It has ended meanwhile.
  }
}
