import { execFile } from "node:child_process";
import { resolve } from "node:path";
import { promisify } from "node:util";

const MAIN = resolve(import.meta.dirname, "../../../dist/cli/main.js");

export interface Ran {
  readonly code: number;
  readonly stdout: string;
  readonly stderr: string;
}

/** Runs the built command line; never throws. */
export async function runSukima(...args: string[]): Promise<Ran> {
  try {
    return { code: 0, ...(await promisify(execFile)(process.execPath, [MAIN, ...args])) };
  } catch (error) {
    const { code, stdout, stderr } = error as Ran;
    return { code, stdout, stderr };
  }
}
