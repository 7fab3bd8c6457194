import { execFile, spawn } from "node:child_process";
import { randomUUID } from "node:crypto";
import { writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { inFolder } from "../../io/in-folder.js";
import { leftOf, MARK, type SoakReport } from "./run-soak.js";

const MAIN = resolve(import.meta.dirname, "../../../dist-checks/test/checks/soak/main.js");

describe("a soak of notebook runs", () => {
  it("leaves no process, socket or temporary file, however its runs end", async () => {
    const { stdout } = await promisify(execFile)(process.execPath, [MAIN, "--runs", "12"]).catch(
      (error: { stdout: string }) => error,
    );
    const { endings, unexpected, left } = JSON.parse(stdout) as SoakReport;
    expect(unexpected).toEqual([]);
    expect(left).toEqual({ processes: 0, files: 0, sockets: 0 });
    expect(Object.values(endings)).toEqual([2, 2, 2, 2, 2, 2]);
  });

  it("would see a process and a file that are left: the negative control", async () => {
    const mark = randomUUID();
    const folder = inFolder({});
    const left = spawn("sleep", ["600"], { stdio: "ignore", env: { ...process.env, [MARK]: mark } });
    try {
      await new Promise((started) => left.once("spawn", started));
      writeFileSync(join(folder, "left"), "");
      expect(await leftOf(mark, folder, Number.MAX_SAFE_INTEGER, 0)).toEqual({
        processes: 1,
        files: 1,
        sockets: 0,
      });
    } finally {
      left.kill("SIGKILL");
    }
  });
});
