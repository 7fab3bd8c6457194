import { execFile } from "node:child_process";
import { cpSync, existsSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";

const ROOT = resolve(import.meta.dirname, "../..");
const run = promisify(execFile);

/** The commands of docs/first-card.md, in its order. */
const COMMANDS = [...readFileSync(join(ROOT, "docs/first-card.md"), "utf8").matchAll(/^\d\. `(.+?)`/gm)].map(
  (match) => match[1] ?? "",
);

/** What the maker does between the commands: sets the two lines that must be set, and writes readings down. */
function atTheBench(folder: string): void {
  const file = join(folder, "job.yaml");
  const text = readFileSync(file, "utf8");
  writeFileSync(
    file,
    text.replace(/^opening: .*/m, "opening: 2 5/16 in").replace(/^strip: .*/m, "strip: 7/64 in"),
  );
  const rows = text.split("\n").flatMap((line) => /^# {3}((?:id|r\d+),.*)/.exec(line)?.[1] ?? []);
  expect(rows.length).toBeGreaterThan(5);
  // The example rows but for the lengths, which are those of the starter's own opening.
  writeFileSync(
    join(folder, "trials.csv"),
    `${rows.filter((row) => !/,(?:length|thickness),/.test(row)).join("\n")}\n`,
  );
}

describe("the way from a clean machine to one's own card", () => {
  it("is six commands", () => {
    expect(COMMANDS).toHaveLength(6);
    expect(COMMANDS.slice(0, 3).join()).toMatch(/^git clone.*,cd sukima,npm ci && npm run build$/);
  });

  it("ends with a card in inches, by the very commands of the page", async () => {
    // The first three fetch and build the project: here it is this build, in a folder of its own.
    const clone = join(inFolder({}), "sukima");
    mkdirSync(clone, { recursive: true });
    for (const part of ["package.json", "dist", "data"])
      cpSync(join(ROOT, part), join(clone, part), { recursive: true });
    symlinkSync(join(ROOT, "node_modules"), join(clone, "node_modules"));
    const [make, calibrate, card] = COMMANDS.slice(3);
    const shell = (line = "") => run("bash", ["-c", line], { cwd: clone });
    await shell(make);
    atTheBench(join(clone, "my-screen"));
    const { stdout } = await shell(calibrate);
    expect(stdout).toContain("WHAT TO DO");
    expect(stdout).toContain("TAKE CARE");
    expect(stdout).not.toMatch(/\d mm\b/);
    await shell(card);
    const page = join(clone, "my-screen/card.html");
    expect(existsSync(page)).toBe(true);
    // Fractions are tied together by spaces that do not break.
    expect(readFileSync(page, "utf8").replaceAll("\u00A0", " ").includes("2 5/16 in")).toBe(true);
  });
});
