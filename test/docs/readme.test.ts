import { readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, it } from "vitest";
import { runSukima } from "../cli/support/run-sukima.js";
import { ROOT } from "./support/documents.js";

it("the table of the README has every command, and no other", async () => {
  const { stdout } = await runSukima("--help");
  const commands = [...stdout.matchAll(/^ {2}([a-z]+) \[options\]/gm)].map((match) => match[1]);
  expect(commands.length).toBeGreaterThan(15);
  const table = readFileSync(join(ROOT, "README.md"), "utf8").match(/^\| `sukima.*$/gm) ?? [];
  const named = table.flatMap((row) =>
    [
      ...row
        .split("|")
        .slice(1, 2)
        .join()
        .matchAll(/sukima ([a-z]+)/g),
    ].map((match) => match[1]),
  );
  expect([...new Set(named)].sort()).toEqual([...commands].sort());
});
