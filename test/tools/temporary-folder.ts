import { chmodSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { basename, join } from "node:path";

const NAME = "sukima-tests-";

/**
 * All that a run of the tests leaves in temporary folders lies in one, which goes when the run is over. Other users may look into it. The projects of one run share it: a
 * folder for each, one in the other, makes paths too long for a socket.
 */
export function setup(): () => void {
  if (basename(tmpdir()).startsWith(NAME)) return () => {};
  const folder = mkdtempSync(join(tmpdir(), NAME));
  chmodSync(folder, 0o755);
  process.env.TMPDIR = folder;
  return () => rmSync(folder, { recursive: true, force: true });
}
