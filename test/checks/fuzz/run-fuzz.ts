import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { Worker } from "node:worker_threads";
import { isUserError } from "../../../src/core/errors.js";
import { JobError } from "../../../src/io/faults.js";
import type { Finding, FuzzCount, FuzzMessage, FuzzTask } from "./fuzz-worker.js";

export interface FuzzOptions {
  readonly count: number;
  readonly seed?: number;
  /** What is tried; default the readers. */
  readonly what?: FuzzTask["what"];
  /** Told now and then how many cases are done, and how many findings there are so far. */
  readonly onProgress?: (done: number, findings: number) => void;
}

export interface FuzzReport {
  readonly cases: number;
  readonly seed: number;
  readonly counts: readonly FuzzCount[];
  readonly findings: readonly Finding[];
  readonly seconds: number;
  /** Of the whole process, MB. */
  readonly peakMb: number;
}

type Last = Extract<FuzzMessage, { type: "at" }>;

/**
 * Edited texts given to every reader, in a thread of its own whose memory is bounded and which is ended when it hangs. The same seed
 * and count give the same cases.
 */
export async function runFuzz({
  count,
  seed = 1,
  what = "readers",
  onProgress,
}: FuzzOptions): Promise<FuzzReport> {
  const folder = mkdtempSync(join(tmpdir(), "fuzz-"));
  const began = performance.now();
  const findings: Finding[] = [];
  const counts: FuzzCount[] = [];
  let peak = 0;
  const watch = setInterval(() => {
    peak = Math.max(peak, process.memoryUsage.rss());
  }, 100);
  try {
    for (let from = 0; from < count; ) {
      const ended = await oneThread({ seed, from, to: count, folder, what }, findings, (done) =>
        onProgress?.(done, findings.length),
      );
      if (ended.counts) {
        counts.push(...ended.counts);
        break;
      }
      findings.push(lost(ended.last, ended.why));
      from = (ended.last?.index ?? from) + 1;
    }
  } finally {
    clearInterval(watch);
    rmSync(folder, { recursive: true, force: true });
  }
  const seconds = (performance.now() - began) / 1000;
  return { cases: count, seed, counts, findings, seconds, peakMb: peak / 2 ** 20 };
}

interface Ended {
  readonly counts?: readonly FuzzCount[];
  readonly why: string;
  readonly last: Last | null;
}

function oneThread(task: FuzzTask, findings: Finding[], onProgress?: (done: number) => void): Promise<Ended> {
  return new Promise((resolve) => {
    let last: Last | null = null;
    let why = "the thread ended";
    const worker = new Worker(new URL("./fuzz-worker.js", import.meta.url), {
      workerData: task,
      resourceLimits: { maxOldGenerationSizeMb: BOUNDS.heapMb },
    });
    // A thread that works is judged by the processor's time, for the machine may be busy with something else; one that only waits, by the clock.
    let [atLast, heard] = [processorMs(), performance.now()];
    const hang = setInterval(() => {
      const worked = processorMs() - atLast;
      const silent = performance.now() - heard;
      if (worked < BOUNDS.hangMs && silent < BOUNDS.silentMs) return;
      why = `no answer for ${Math.round(worked / 1000)} s of processor time, ${Math.round(silent / 1000)} s in all`;
      void worker.terminate();
    }, 1000);
    let counts: readonly FuzzCount[] | undefined;
    worker.on("message", (message: FuzzMessage) => {
      [atLast, heard] = [processorMs(), performance.now()];
      if (message.type === "finding") findings.push(message.finding);
      else if (message.type === "done") ({ counts } = message);
      else {
        last = message;
        onProgress?.(message.index);
      }
    });
    worker.on("error", (error) => {
      why = `${error.name}: ${error.message}`;
    });
    worker.on("exit", () => {
      clearInterval(hang);
      resolve({ ...(counts && { counts }), why, last });
    });
  });
}

/** Processor time of this process and its threads so far, ms. */
function processorMs(): number {
  const { user, system } = process.cpuUsage();
  return (user + system) / 1000;
}

/** The case that a thread was last heard of with; what ended it is that one or one of the next few. */
function lost(last: Last | null, why: string): Finding {
  const bytes = last === null ? Buffer.alloc(0) : readFileSync(last.file);
  const base64 = bytes.subarray(0, 200_000).toString("base64");
  return {
    index: last?.index ?? 0,
    subject: last?.subject ?? "",
    what: why,
    stack: "",
    bytes: bytes.length,
    base64,
  };
}

/** Longest message, characters: what a person may be asked to scroll through. */
const LONGEST_MESSAGE = 300_000;
const UNSEEN = /(?![\n\t])\p{Cc}|[\u202A-\u202E\u2066-\u2069]/u;

/** Why a refusal is not a good one; `null` when it is. */
export function judgeRefusal(
  error: unknown,
  file: string | null,
  lines: number,
  anyRefusal = false,
): string | null {
  if (!(error instanceof Error)) return `thrown: ${String(error)}`;
  const { name, message } = error;
  if (!(anyRefusal ? isUserError(error) : isUserError(error, "job", "notebook", "quantity", "mystery")))
    return `${name}: ${message.slice(0, 200)}`;
  if (/\n\s+at .*:\d+:\d+/.test(message)) return "the message shows a stack";
  if (message.length > LONGEST_MESSAGE) return `the message has ${message.length} characters`;
  if (UNSEEN.test(message) && error instanceof JobError)
    return "the message holds a sign that drives a terminal";
  if (file !== null && !anyRefusal && !message.includes(file)) return `the message does not name ${file}`;
  if (!(error instanceof JobError)) return null;
  for (const fault of error.faults) {
    if (!fault.file.endsWith(".yaml") && !fault.file.endsWith(".csv")) return `a fault names ${fault.file}`;
    if (!(fault.line >= 0 && fault.line <= lines && fault.column >= 0))
      return `a fault at line ${fault.line} of ${lines}`;
    if (!/^\S.*[.?]$/su.test(fault.sentence))
      return `a fault that is no sentence: ${fault.sentence.slice(0, 120)}`;
  }
  return null;
}

/** What a refusal says, without the numbers and texts of the case: refusals of one shape come from one place in the code. */
export const shapeOf = (error: Error): string =>
  (error instanceof JobError ? error.faults[0]!.sentence : error.message)
    .replaceAll(/“[^”]*”|"[^"]*"|'[^']*'/g, "“”")
    .replaceAll(/[-−]?\d[\d.,e+-]*/g, "0")
    .slice(0, 120);

/** What a case may take: `fixedMs` for anything, and `msPerByte` for each byte read. */
export const BOUNDS = {
  fixedMs: 2000,
  /** 2 µs a byte: the largest file read, 5 MB, may take 10 s more. */
  msPerByte: 0.002,
  /** JavaScript's memory of the thread that reads, MB. */
  heapMb: 512,
  /** After so much processor time without an answer the thread is ended: what is longer is a hang, ms. */
  hangMs: 60_000,
  /** So is one that has not answered for so long, ms: it waits for something. */
  silentMs: 1_800_000,
} as const;

/** Processor time that a case may take, ms. */
export const boundMs = (bytes: number, fixedMs: number = BOUNDS.fixedMs): number =>
  fixedMs + BOUNDS.msPerByte * bytes;
