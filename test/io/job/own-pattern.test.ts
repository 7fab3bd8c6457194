import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { benchNames } from "../../../src/model/cell/benches.js";
import { faultsOf, inFolder } from "../in-folder.js";

const PATTERNS = join(import.meta.dirname, "../../../data/patterns");
const DIAMOND = readFileSync(join(PATTERNS, "diamond.yaml"), "utf8").replace(
  "pattern: diamond",
  "pattern: my-own",
);
const job = (more: string): string => `pattern: ${more}\nopening: 60\nstrip: 3\n`;
const load = (files: Readonly<Record<string, string>>) => loadJob(join(inFolder(files), "job.yaml"));

describe("a pattern in the job's own folder", () => {
  it("is loaded by its place there, sizes and all", () => {
    const files = { "job.yaml": `${job("my-own.yaml")}sizes: { height: 80 }\n`, "my-own.yaml": DIAMOND };
    const { pattern, patternSizes, arrangement } = load(files);
    expect(pattern).toBe("my-own");
    expect(patternSizes).toEqual({ opening: 60, strip: 3, height: 80 });
    expect(arrangement.pieces[0]!.length).toBeCloseTo(50, 12);
  });

  it("is refused with its own lines when it does not close, and says what draws it", () => {
    const wrong = DIAMOND.replace(
      "length: distance(left_middle, top_middle)",
      "length: distance(left_middle, top_middle) + 0.1",
    );
    const faults = faultsOf(() => load({ "job.yaml": job("my-own.yaml"), "my-own.yaml": wrong }));
    expect(faults.length).toBeGreaterThan(0);
    for (const { file, line, example } of faults) {
      expect(file).toMatch(/my-own\.yaml$/);
      expect(line).toBeGreaterThan(0);
      expect(example).toContain("sukima pattern");
    }
  });

  it("is refused where it is not there, or lies outside the folder", () => {
    expect(faultsOf(() => load({ "job.yaml": job("none.yaml") }))[0]!.sentence).toMatch(
      /cannot be read.*no such file/,
    );
    for (const path of ["../my-own.yaml", "/etc/my-own.yaml"])
      expect(faultsOf(() => load({ "job.yaml": job(path) }))[0]!.sentence).toMatch(
        /leads outside the job's folder/,
      );
  });

  it("is refused under a name that the project uses", () => {
    const same = DIAMOND.replace("pattern: my-own", "pattern: diamond");
    const [only] = faultsOf(() => load({ "job.yaml": job("my-own.yaml"), "my-own.yaml": same }));
    expect(only!.sentence).toMatch(/a pattern of this project has this name; give your own another name/);
    expect([only!.field, only!.example]).toEqual(["pattern", "pattern: my-diamond"]);
  });

  it("that does not suit the job's sizes says so at the strip, with the first thing that does not meet", () => {
    const text = `${job("my-own.yaml").replace("strip: 3", "strip: 36")}`;
    const [first] = faultsOf(() => load({ "job.yaml": text, "my-own.yaml": DIAMOND }));
    expect(first!.field).toBe("strip");
    expect(first!.sentence).toMatch(/sizes do not suit the pattern my-own; it closes at its usual ones\. \w/);
  });
});

describe("the sizes of a pattern", () => {
  it.each<[string, RegExp]>([
    [
      "pattern: diamond\nopening: 60\nstrip: 3\nsizes: { hieght: 40 }\n",
      /no such size of diamond; did you mean height\?/,
    ],
    [
      "pattern: corner-cross\nopening: 60\nstrip: 3\nsizes: { height: 40 }\n",
      /corner-cross has no sizes but its own keys/,
    ],
    ["pattern: diamond\nopening: 60\nstrip: 3\nseat-share: 0.6\n", /diamond has no such size/],
    ["pattern: diamond\nopening: 60\nstrip: 3\nsizes: { height: 40 deg }\n", /height/i],
    ["pattern: dimond\nopening: 60\nstrip: 3\n", /no such pattern; did you mean diamond\?/],
  ])("%s is refused", (text, message) => {
    expect(
      faultsOf(() => load({ "job.yaml": text }))
        .map(({ sentence }) => sentence)
        .join("\n"),
    ).toMatch(message);
  });

  it("are in the job's units", () => {
    const text = "units: in\npattern: diamond\nopening: 2\nstrip: 1/8\nsizes: { height: 1 1/2 }\n";
    expect(load({ "job.yaml": text }).patternSizes.height).toBeCloseTo(38.1, 10);
  });
});

/** Jigs and set-ups of a diamond 60 mm by 45 mm: atan(45/60) = 36.8699°. */
const SHOP = (upright: string): string => `${job("diamond")}sizes: { height: 45 }
jigs:
  flat: { ramp: ${upright}, locked: true }
  steep: { ramp: 53.13 deg, locked: true }
set-ups:
  one: { jig: flat, cuts: [side.upright, side.upright-mitre] }
  two: { jig: steep, cuts: [side.level, side.level-mitre] }
instruments:
  feeler: { reads: gap, reach: widest, leaves: [0.05, 0.1] }
`;

describe("a jig's label", () => {
  it("of two decimals stands for the angle that follows from the sides", () => {
    const { jigs } = load({ "job.yaml": SHOP("36.87 deg") });
    expect(jigs[0]!.ramp).toBeCloseTo(Math.atan2(45, 60), 14);
  });

  it("that is further off is another angle", () => {
    const [first] = faultsOf(() => load({ "job.yaml": SHOP("36.9 deg") }));
    expect(first!.sentence).toMatch(/ramp of 36\.9° and side\.upright is cut at 36\.8699°/);
  });
});

describe("the benches of a job", () => {
  it("follow from its pattern", () => {
    const names = (pattern: string) => benchNames(load({ "job.yaml": job(pattern) }).arrangement);
    const others = ["straightedge", "mitre-pair", "reversal", "ring"];
    expect(names("asanoha-square")).toEqual(["corner-90", "corner-45", ...others]);
    expect(names("asanoha-triangular")).toEqual(["corner-60", "corner-120", ...others]);
    expect(names("corner-cross")).toEqual(["corner-90", ...others]);
    // Cut on two jigs, its points fit no corner of one.
    expect(names("diamond")).toEqual(others);
    expect(names("asanoha-rectangular")).toEqual(["corner-53.13", "corner-36.87", "corner-90", ...others]);
  });

  it("are the only ones that a table of trials may name", () => {
    const rows = (bench: string): string =>
      `id,trial,set-up,bench,joint,what,at,low,high,unit,instrument\nr1,a1,one,${bench},start-left,gap,widest,,0.05,mm,feeler\n`;
    const text = `${job("asanoha-triangular")}
jigs: { a: { ramp: 60 deg, locked: true }, b: { ramp: 30 deg, locked: true } }
set-ups: { one: { jig: a, cuts: [arm.point] }, two: { jig: b, cuts: [arm.centre] } }
instruments: { feeler: { reads: gap, reach: widest, leaves: [0.05, 0.1] } }
`;
    const folder = inFolder({
      "job.yaml": text,
      "trials.csv": rows("corner-60"),
      "other.csv": rows("corner-90"),
    });
    const loaded = loadJob(folder);
    expect(loadTrials(folder, loaded)).toHaveLength(1);
    expect(faultsOf(() => loadTrials(join(folder, "other.csv"), loaded))[0]!.sentence).toMatch(
      /no such bench; did you mean corner-60\?/,
    );
    const suited = rows("corner-120");
    const third = inFolder({ "job.yaml": text, "trials.csv": suited });
    expect(faultsOf(() => loadTrials(third, loadJob(third)))[0]!.sentence).toMatch(
      /takes a point cut at 30°/i,
    );
  });
});
