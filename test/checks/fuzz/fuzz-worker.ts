import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { parentPort, workerData } from "node:worker_threads";
import fc from "fast-check";
import { calculators, calibrations } from "./calculators.js";
import { applyEdits, edits } from "./edits.js";
import { remedies } from "./remedies.js";
import { boundMs, judgeRefusal, shapeOf } from "./run-fuzz.js";
import { type Subject, subjects } from "./subjects.js";

/** What a thread is to do. */
export interface FuzzTask {
  readonly seed: number;
  /** Cases from this one on, up to but without `to`. */
  readonly from: number;
  readonly to: number;
  readonly folder: string;
  /** The readers; the calculators behind them; or calibrations, which take seconds each. */
  readonly what: "readers" | "remedies" | "calculators" | "calibrations";
}

/** Something that must not be. */
export interface Finding {
  readonly index: number;
  readonly subject: string;
  readonly what: string;
  /** Of the file or text. */
  readonly bytes: number;
  readonly stack: string;
  readonly base64: string;
}

/** What became of the cases so far. */
export interface FuzzCount {
  readonly subject: string;
  accepted: number;
  refused: number;
  bytes: number;
  /** The longest time as a share of what its size allows. */
  slowest: number;
  shapes: string[];
}

export type FuzzMessage =
  | { readonly type: "at"; readonly index: number; readonly subject: string; readonly file: string }
  | { readonly type: "finding"; readonly finding: Finding }
  | { readonly type: "done"; readonly counts: readonly FuzzCount[] };

/** Cases drawn at once; their seed is that of the run and the number of the batch. */
const BATCH = 500;
/** Texts that were refused in a way not seen before are edited further; of each kind so many are kept. */
const MOST_KEPT = 40;
/** A text is kept for more edits up to this length, bytes. */
const LONGEST_KEPT = 100_000;

const task = workerData as FuzzTask;
const post = (message: FuzzMessage): void => parentPort!.postMessage(message);

await run();

async function run(): Promise<void> {
  const all = { readers: subjects, remedies, calculators, calibrations }[task.what](task.folder);
  const counts = all.map(
    ({ name }): FuzzCount => ({
      subject: name,
      accepted: 0,
      refused: 0,
      bytes: 0,
      slowest: 0,
      shapes: [],
    }),
  );
  const kept = all.map((): string[] => []);
  let strays = 0;
  process.on("unhandledRejection", () => strays++);
  for (let batch = Math.floor(task.from / BATCH); batch * BATCH < task.to; batch++) {
    const drawn = fc.sample(fc.tuple(fc.nat(), edits), {
      seed: task.seed * 1_000_003 + batch,
      numRuns: BATCH,
    });
    for (const [i, [pick, done]] of drawn.entries()) {
      const index = batch * BATCH + i;
      if (index < task.from || index >= task.to) continue;
      const which = index % all.length;
      const subject = all[which]!;
      // Two of three start from a good text, the others from one that was refused in a way of its own.
      const pool = pick % 3 < 2 || kept[which]!.length === 0 ? subject.good : kept[which]!;
      const text = pool[Math.floor(pick / 3) % pool.length]!;
      const bytes = subject.slip ? Buffer.from(subject.slip(text, pick)) : applyEdits(text, done);
      const count = counts[which]!;
      const before = count.shapes.length;
      const found = await tryOne(subject, bytes, index, count);
      if (strays > 0) found.push("a promise was rejected and nobody awaited it");
      strays = 0;
      for (const what of found) {
        const base64 = Buffer.from(bytes.subarray(0, 200_000)).toString("base64");
        const [said, ...stack] = what.split("\n");
        post({
          type: "finding",
          finding: {
            index,
            subject: subject.name,
            what: said!,
            stack: stack.slice(0, 4).join("\n"),
            bytes: bytes.length,
            base64,
          },
        });
      }
      const isNew = count.shapes.length > before;
      if (isNew && !subject.slip && kept[which]!.length < MOST_KEPT && bytes.length < LONGEST_KEPT)
        kept[which]!.push(Buffer.from(bytes).toString("utf8"));
    }
  }
  post({ type: "done", counts });
}

async function tryOne(
  subject: Subject,
  bytes: Uint8Array,
  index: number,
  count: FuzzCount,
): Promise<string[]> {
  const path = subject.file === null ? Buffer.from(bytes).toString("utf8") : join(task.folder, subject.file);
  if (subject.file !== null) {
    writeFileSync(path, bytes);
    // So that a thread that never comes back is known by its case.
    if (index % 50 === 0 || bytes.length > LONGEST_KEPT)
      post({ type: "at", index, subject: subject.name, file: path });
  }
  const found: string[] = [];
  const began = process.cpuUsage();
  try {
    await subject.read(path);
    count.accepted++;
  } catch (error) {
    count.refused++;
    const lines = Buffer.from(bytes)
      .toString("latin1")
      .split(/\r\n?|\n/).length;
    const bad = judgeRefusal(error, subject.file, lines, subject.anyRefusal);
    if (bad !== null)
      found.push(
        `${bad}\n${
          error instanceof Error
            ? (error.stack ?? "")
                .split("\n")
                .filter((line) => line.includes(" at "))
                .join("\n")
            : ""
        }`,
      );
    else {
      const shape = shapeOf(error as Error);
      if (!count.shapes.includes(shape)) count.shapes.push(shape);
    }
  }
  // The processor's time: what else the machine is busy with does not count. One that waits for ever is ended from outside.
  const { user, system } = process.cpuUsage(began);
  const ms = (user + system) / 1000;
  count.bytes += bytes.length;
  const bound = boundMs(bytes.length, subject.fixedMs);
  count.slowest = Math.max(count.slowest, ms / bound);
  if (ms > bound) found.push(`it took ${Math.round(ms)} ms; its size allows ${Math.round(bound)} ms`);
  return found;
}
