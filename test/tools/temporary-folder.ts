import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";

/** All that a run of the tests leaves in temporary folders lies in one, which goes when the run is over. Other users may look into it. */
export function setup(): () => void {
  const folder = mkdtempSync(join(tmpdir(), "sukima-tests-"));
  chmodSync(folder, 0o755);
  process.env.TMPDIR = folder;
  return () => rmSync(folder, { recursive: true, force: true });
}
