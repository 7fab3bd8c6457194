import { writeSync } from "node:fs";
import { parentPort, workerData } from "node:worker_threads";
import { spellOut } from "../core/text.js";
import { type LifeMessage, type LifeStart, LOOK_EVERY, SignOfLife } from "./sign-of-life.js";

/** The error stream; written to directly, for the streams of a thread wait for the busy main thread. */
const STDERR = 2;

const { started, terminal, open } = workerData as LifeStart;
const life = new SignOfLife(() => performance.timeOrigin + performance.now(), started);

parentPort?.on("message", ({ step, further }: LifeMessage) =>
  further === undefined ? life.spoke(step) : life.further(further),
);

setInterval(() => {
  const line = life.due();
  if (line === null) return;
  const text = spellOut(line);
  try {
    if (terminal) Atomics.store(open, 0, 1);
    writeSync(STDERR, terminal ? `\r\x1b[K${text}` : `${text}\n`);
  } catch {
    // A closed or full pipe: the command itself will find out.
  }
}, LOOK_EVERY);
