import { JobError } from "../job/job-error.js";

/** Errors written for the person whose file it is. */
const REFUSALS = new Set(["JobError", "NotebookError", "QuantityError", "MysteryError"]);
/** Longest message, characters: what a person may be asked to scroll through. */
const LONGEST_MESSAGE = 300_000;
const UNSEEN = /(?![\n\t])\p{Cc}|[\u202A-\u202E\u2066-\u2069]/u;

/** Why a refusal is not a good one; `null` when it is. */
export function judgeRefusal(error: unknown, file: string | null, lines: number): string | null {
  if (!(error instanceof Error)) return `thrown: ${String(error)}`;
  const { name, message } = error;
  if (!REFUSALS.has(name)) return `${name}: ${message.slice(0, 200)}`;
  if (/\n\s+at .*:\d+:\d+/.test(message)) return "the message shows a stack";
  if (message.length > LONGEST_MESSAGE) return `the message has ${message.length} characters`;
  if (UNSEEN.test(message) && name === "JobError") return "the message holds a sign that drives a terminal";
  if (file !== null && !message.includes(file)) return `the message does not name ${file}`;
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
