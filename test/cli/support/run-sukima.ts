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
export const runSukima = (...args: string[]): Promise<Ran> => runSukimaIn(process.cwd(), ...args);

/** The same in a folder of its own, where names without a folder go. */
export async function runSukimaIn(cwd: string, ...args: string[]): Promise<Ran> {
  try {
    return { code: 0, ...(await promisify(execFile)(process.execPath, [MAIN, ...args], { cwd })) };
  } catch (error) {
    const { code, stdout, stderr } = error as Ran;
    return { code, stdout, stderr };
  }
}

/** What stands on the error stream besides the steps of a command that takes its time. */
export const complaints = (stderr: string): string => stderr.replaceAll(/^… .*\n/gm, "");
