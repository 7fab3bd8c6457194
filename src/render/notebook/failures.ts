import { KernelEnded, KernelLost, KernelTimeout } from "./kernel.js";
import type { ErrorOutput } from "./notebook.js";

/** Why a cell failed. */
type FailureKind =
  /** The code did not pass the type check and was not run. */
  | "type"
  /** The code threw. */
  | "thrown"
  /** A promise nobody awaits was rejected. */
  | "rejection"
  /** An error came up outside the cell's own run: in a timer, an event. */
  | "background"
  /** The cell did not finish in time. */
  | "timeout"
  /** The kernel's process ended, or what it sent did not all arrive. */
  | "kernel";

export interface Failure {
  readonly kind: FailureKind;
  /** The notebook, as the caller named it. */
  readonly notebook: string;
  /** Which code cell, counted from 1; blank cells do not count. The number Jupyter shows beside the cell. */
  readonly cell: number;
  /** The place of that cell among all cells of the file, counted from 0. */
  readonly index: number;
  /** Line within the cell, counted from 1; null when it cannot be known. */
  readonly line: number | null;
  /** What went wrong, for a person, without a full stop. */
  readonly reason: string;
  /** Notebook, cell, line and reason in one sentence. */
  readonly message: string;
  /** The full text: diagnostics, stack or kernel log. */
  readonly detail: string;
}

export function failureOf(parts: Omit<Failure, "message">): Failure {
  const { notebook, cell, line, reason } = parts;
  const place = line === null ? `cell ${cell}` : `cell ${cell}, line ${line}`;
  return { ...parts, message: `${notebook} stopped at ${place}: ${reason}.` };
}

/** What a finished cell has to complain of; null when all is well. */
export function complaintOf(status: string, source: string, writes: readonly string[]): Complaint | null {
  const own = writes.filter((text) => backgroundComplaint([text]) === null);
  if (status !== "ok") return isDiagnostic(own.at(-1) ?? "") ? typeComplaint(own) : thrownComplaint(own);
  return backgroundComplaint(writes) ?? (source.includes("@module") ? typeComplaint(own) : null);
}

/** Why there is no answer to a cell, if it is the kernel's doing; null for any other error. */
export function kernelComplaint(error: unknown): Complaint | null {
  if (error instanceof KernelTimeout)
    return silent("timeout", `it did not finish within ${error.limitMs / 1000} s`, error.log);
  if (error instanceof KernelLost) return silent("kernel", error.message, "");
  if (!(error instanceof KernelEnded)) return null;
  const how = error.killedBy === null ? `with exit code ${error.code}` : `by ${error.killedBy}`;
  return silent("kernel", `the kernel's process was ended ${how} while the cell ran`, error.log);
}

function silent(kind: "timeout" | "kernel", reason: string, log: string): Complaint {
  const traceback = log === "" ? [reason] : log.trimEnd().split("\n");
  const ename = kind === "timeout" ? "CellTimeout" : "KernelError";
  return {
    kind,
    line: null,
    reason,
    told: [],
    error: { output_type: "error", ename, evalue: reason, traceback },
  };
}

/** A failure as far as it is known without the notebook. */
export interface Complaint {
  readonly kind: FailureKind;
  /** Line the message itself gives (type check only), counted from 1. */
  readonly line: number | null;
  readonly reason: string;
  /** The writes to the error stream that told of it. */
  readonly told: readonly string[];
  readonly error: ErrorOutput;
}

// The forms tslab 1.0.22 prints (dist/executor.js, dist/main.js); no other channel tells of a failure.
const DIAGNOSTIC = /^(?:\S+ )?(\d+):(\d+) - (.*)/;
const BACKGROUND = /^(UncaughtException|UnhandledPromiseRejection): /;
const SOURCE_EXTRACT = /^[^\n]+:\d+\n[\s\S]*?\n\s*\^+\s*\n\n/;
const STACK_LINE = /^\s+at /;
const LONGEST_REASON = 300;

const isDiagnostic = (text: string): boolean => DIAGNOSTIC.test(text);

/** An error nobody caught, if the writes to the error stream tell of one. */
export function backgroundComplaint(writes: readonly string[]): Complaint | null {
  const told = writes.find((text) => BACKGROUND.test(text));
  if (told === undefined) return null;
  const error = errorOf(told.replace(BACKGROUND, ""));
  const what = sentence(error);
  const found = { line: null, told: [told], error };
  return told.startsWith("UncaughtException")
    ? { kind: "background", reason: `an error came up in the background: ${what}`, ...found }
    : { kind: "rejection", reason: `a promise that nobody awaits was rejected: ${what}`, ...found };
}

/** A failed type check. tslab answers "ok" for a module cell that does not pass it. */
export function typeComplaint(writes: readonly string[]): Complaint | null {
  const told = writes.filter(isDiagnostic);
  const first = told[0] && DIAGNOSTIC.exec(told[0]);
  if (!first) return null;
  const traceback = told.join("").trimEnd().split("\n");
  const error: ErrorOutput = { output_type: "error", ename: "TypeCheck", evalue: first[3]!, traceback };
  const reason = `the code does not pass the type check: ${withoutStop(first[3]!)}`;
  return { kind: "type", line: Number(first[1]), reason, told, error };
}

/** What a cell threw: the last thing tslab wrote for it. */
export function thrownComplaint(writes: readonly string[]): Complaint {
  const told = writes.slice(-1);
  const error = errorOf(told[0] ?? "");
  return { kind: "thrown", line: null, reason: sentence(error), told, error };
}

/** Name and message out of an error as Node prints it. What is thrown need not be an Error. */
function errorOf(printed: string): ErrorOutput {
  const traceback = printed.trimEnd().split("\n");
  const lines = printed.replace(SOURCE_EXTRACT, "").trimEnd().split("\n");
  const stack = lines.findIndex((line) => STACK_LINE.test(line));
  const head = lines.slice(0, stack < 0 ? lines.length : stack);
  const named = /^([A-Za-z_$][\w$.]*)(?: \[\w+\])?(?:: ([\s\S]*))?$/.exec(head.join("\n").trimEnd());
  return stack >= 0 && named !== null
    ? { output_type: "error", ename: named[1]!, evalue: named[2] ?? "", traceback }
    : { output_type: "error", ename: "Thrown", evalue: head.join("\n"), traceback };
}

function sentence({ ename, evalue }: ErrorOutput): string {
  const text = evalue
    .split(/\s*\n\s*/)
    .filter((line) => line !== "")
    .join(" ");
  const short = text.length > LONGEST_REASON ? `${text.slice(0, LONGEST_REASON)}…` : text;
  if (ename === "Thrown") return `it threw ${short === "" ? "something without a text" : withoutStop(short)}`;
  return short === "" ? ename : `${ename}: ${withoutStop(short)}`;
}

const withoutStop = (text: string): string => text.trimEnd().replace(/\.$/, "");
