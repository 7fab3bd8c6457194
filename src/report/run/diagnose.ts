import { KernelEnded, KernelLost, KernelTimeout } from "../kernel/kernel-errors.js";
import {
  backgroundComplaint,
  type Complaint,
  isDiagnostic,
  thrownComplaint,
  typeComplaint,
} from "./read-complaints.js";

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
