import { spawn } from "node:child_process";
import { resolve } from "node:path";

const MAIN = resolve(import.meta.dirname, "../../../dist/cli/main.js");

/** Runs the built command line and interrupts it (Ctrl-C) as soon as it says how far it is. */
export async function interruptSukima(...args: string[]): Promise<{ code: unknown; stdout: string }> {
  const child = spawn(process.execPath, [MAIN, ...args], { stdio: ["ignore", "pipe", "pipe"] });
  let stdout = "";
  child.stdout.on("data", (text) => {
    stdout += text;
  });
  // The first lines only say that it is at work; counts come once there is something to print.
  child.stderr.on("data", (text) => {
    if (/ a second/.test(String(text))) child.kill("SIGINT");
  });
  const code = await new Promise((done) => child.once("close", done));
  return { code, stdout };
}
