import type { ErrorOutput } from "../notebook/types.js";
import type { FailureKind } from "./failure.js";

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

export const isDiagnostic = (text: string): boolean => DIAGNOSTIC.test(text);

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
