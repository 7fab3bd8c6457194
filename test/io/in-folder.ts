import { mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { JobError, type JobFault } from "../../src/io/faults.js";

/** Goes with all that the run leaves: test/tools/temporary-folder.ts. */
const root = mkdtempSync(join(tmpdir(), "job-"));
let count = 0;

/** A new folder with these files in it. */
export function inFolder(files: Readonly<Record<string, string | Uint8Array>>): string {
  const folder = join(root, `job-${++count}`);
  mkdirSync(folder);
  for (const [name, content] of Object.entries(files)) writeFileSync(join(folder, name), content);
  return folder;
}

/** What the call refuses, with nothing for a call that refuses nothing. Any error but a JobError goes on. */
export function faultsOf(call: () => unknown): readonly JobFault[] {
  try {
    call();
    return [];
  } catch (error) {
    if (error instanceof JobError) return error.faults;
    throw error;
  }
}
