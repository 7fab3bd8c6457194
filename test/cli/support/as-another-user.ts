import { spawnSync } from "node:child_process";
import { chmodSync, chownSync, cpSync, mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterAll } from "vitest";
import type { Ran } from "./run-sukima.js";

const MAIN = resolve(import.meta.dirname, "../../../dist/cli/main.js");
const JOB = resolve(import.meta.dirname, "../../../data/alcove-screen");

/** Rights do not hold root back: as root, commands are run as `nobody`; else as whoever runs the tests. */
const USER = process.getuid?.() === 0 ? nobody() : null;

function nobody(): { uid: number; gid: number } {
  const line = readFileSync("/etc/passwd", "utf8")
    .split("\n")
    .find((entry) => entry.startsWith("nobody:"));
  const [, , uid, gid] = (line ?? "nobody:x:65534:65534").split(":").map(Number);
  return { uid: uid!, gid: gid! };
}

/** Runs the built command line as someone whom rights hold back; never throws. */
export function runHeldBack(...args: string[]): Ran {
  const { status, stdout, stderr } = spawnSync(process.execPath, [MAIN, ...args], {
    encoding: "utf8",
    cwd: "/",
    env: { PATH: process.env.PATH },
    ...USER,
  });
  return { code: status ?? -1, stdout, stderr };
}

/** Whether that user gets at node and at the built files at all: not where the project lies in root's own folder. */
export const canRun = (): boolean => runHeldBack("--version").code === 0;

const root = mkdtempSync(join(tmpdir(), "sukima-rights-"));
chmodSync(root, 0o755);
const folders: string[] = [];
afterAll(() => {
  for (const folder of folders) chmodSync(folder, 0o755);
  rmSync(root, { recursive: true, force: true });
});

/** A copy of the demonstration job that belongs to that user. */
export function ownJob(): string {
  const folder = join(root, `job-${folders.length}`);
  cpSync(JOB, folder, { recursive: true });
  folders.push(folder);
  for (const name of ["", ...readdirSync(folder)]) owned(join(folder, name));
  return folder;
}

/** Gives a file to that user. */
export function owned(path: string): void {
  if (USER !== null) chownSync(path, USER.uid, USER.gid);
}
