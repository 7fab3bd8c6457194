import { existsSync, readdirSync, readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";
import { inchShop } from "./support/inch-shop.js";
import { millimetres } from "./support/millimetres.js";
import { runSukima } from "./support/run-sukima.js";

const out = inFolder({});
let shop = "";
beforeAll(() => {
  shop = inchShop();
});

/** What each command is run with on a shop in inches; what it writes goes to `out`. */
const COMMANDS: Readonly<Record<string, () => string[][]>> = {
  new: () => [
    [join(out, "new"), "--units", "in"],
    [join(out, "new-2"), "--units", "in", "--pattern", "diamond"],
  ],
  pattern: () => [["diamond", "--units", "in", "--out", join(out, "diamond.svg")]],
  predict: () => [
    [shop, "--details"],
    [shop, "--lengths", "fitted"],
    [shop, "--uncertain", "--trials", "2000", "--details"],
  ],
  panel: () => [[shop, "--panels", "60", "--details", "--out", join(out, "panel")]],
  calibrate: () => [[shop], [shop, "--details"]],
  card: () => [[shop, "--out", join(out, "card.html")]],
  sheet: () => [[shop, "--out", join(out, "sheet.html")]],
  // The other lessons are read in inches where they run on other patterns (test/notebooks/any-job.long.test.ts).
  notebook: () => [["00-start-here", "--job", shop, "--out", join(out, "report")]],
  simulate: () => [[shop, "--out", join(out, "simulated.csv")]],
  plan: () => [[shop, "--details", "--out", join(out, "plan.csv")]],
  gauge: () => [[join(shop, "gauge.csv"), "--tolerance", "8 thou", "--details"]],
  batch: () => [
    [join(shop, "batch.csv"), "--job", shop, "--details"],
    [join(shop, "batch.csv"), "--target", "31/32", "--deviation", "0.4 thou"],
  ],
  record: () => [[shop, "--out", join(out, "record.yaml")]],
  cutlist: () => [[shop, "--details", "--out", join(out, "cut")]],
  make: () => [[shop, "--details", "--out", join(out, "make.html")]],
  tolerances: () => [[shop, "--no-curve", "--details"]],
  season: () => [[shop, "--cells", "400", "--details", "--out", join(out, "year.svg")]],
  explain: () => [[shop, "--out", join(out, "causes")]],
  draw: () => [["--all", "--job", shop, "--out", join(out, "pictures")]],
  page: () => [["--job", shop, "--out", join(out, "play.html")]],
  mystery: () => [
    ["--seed", "7", "--units", "in", "--out", join(out, "mystery")],
    ["--mark", join(out, "mystery"), "--give-up"],
  ],
};

function filesIn(path: string): string[] {
  if (!existsSync(path)) return [];
  if (!statSync(path).isDirectory()) return [path];
  return readdirSync(path).flatMap((name) => filesIn(join(path, name)));
}

/** Lines of what a command says first, before the cautions or the details. */
const answerLines = (text: string): number =>
  (text.split(/^(?:TAKE CARE|--details)/m)[0] ?? "").trim().split("\n").length;

describe("on a job in inches", () => {
  it("every command there is is tried", async () => {
    const { stdout } = await runSukima("--help");
    const names = [...stdout.matchAll(/^ {2}([a-z]+) \[options\]/gm)].map((match) => match[1]);
    expect(names.length).toBeGreaterThan(15);
    expect(names.filter((name) => name !== "help").sort()).toEqual(Object.keys(COMMANDS).sort());
  });

  it.each(Object.keys(COMMANDS))(
    "sukima %s names no millimetre that its user did not write, and answers in fifteen lines",
    async (name) => {
      const before = new Set(filesIn(out));
      const found: string[] = [];
      for (const args of COMMANDS[name]?.() ?? []) {
        const { code, stdout, stderr } = await runSukima(name, ...args);
        expect(`${code} ${code === 0 ? "" : stderr}`).toBe("0 ");
        found.push(...millimetres(stdout), ...millimetres(stderr));
        // A list of the pictures that were drawn is no answer to be read.
        if (!args.includes("--details") && !args.includes("--all"))
          expect(answerLines(stdout), stdout).toBeLessThanOrEqual(15);
      }
      const files = filesIn(out).filter(
        (file) => !before.has(file) && /\.(csv|html|svg|yaml|txt)$/.test(file),
      );
      for (const file of files)
        found.push(
          ...millimetres(readFileSync(file, "utf8")).map((line) => `${file.slice(out.length)}: ${line}`),
        );
      expect(found).toEqual([]);
    },
  );

  it("a millimetre would be seen", () => {
    expect(millimetres("a gap of 0.1 mm\n<text x='3mm'>Gap (mm)</text>\n<p>2 thou</p>")).toHaveLength(2);
  });
});
