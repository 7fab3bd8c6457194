import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTruth } from "../../src/io/records/load-truth.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../src/io/trials/trials-csv.js";
import { errorLayout } from "../../src/model/cell/cell-errors.js";
import { jobAsCut, jobCell, leaningDepth } from "../../src/model/job/job-cell.js";
import { FULL, LEAST } from "./good-job.js";
import { faultsOf, inFolder } from "./in-folder.js";

const DEGREE = Math.PI / 180;
const job = (text: string) => loadJob(inFolder({ "job.yaml": text }));
/** The full job with more keys on one of its jigs. */
const withKeys = (keys: string, jig = "point-45: { ramp: 45 deg"): string =>
  FULL.replace(jig, `${jig}, ${keys}`);
const sentencesOf = (text: string): string[] => faultsOf(() => job(text)).map(({ sentence }) => sentence);

describe("depth and lean in a job file", () => {
  it("are read in the job's units; a jig may be known to lean, trusted, and turn the strip over", () => {
    const inches = LEAST.replace("opening: 60", "opening: 2 3/8").replace(
      "strip: 3",
      "strip: 1/8 in\nunits: in\ndepth: 1/2",
    );
    expect(job(inches).depth).toBeCloseTo(12.7, 12);
    const { depth, jigs } = job(withKeys("lean: -0.3 deg, lean-trusted-to: 6', rolled: true"));
    expect(depth).toBe(12);
    expect(jigs[0]!.lean).toEqual({
      priorMean: expect.closeTo(-0.3 * DEGREE, 14),
      priorSd: expect.closeTo(0.1 * DEGREE, 14),
      rolled: true,
    });
    expect("lean" in jigs[1]!).toBe(false);
  });

  it("make a cell of two sides only where something leans", () => {
    expect(leaningDepth(job(FULL))).toBeUndefined();
    expect(jobCell(job(FULL)).depth).toBeUndefined();
    expect(jobCell(job(withKeys("lean-trusted-to: 0"))).depth).toBeUndefined();
    for (const keys of ["lean: 0.1 deg", "lean-trusted-to: 0.1 deg"])
      expect(jobCell(job(withKeys(keys))).depth, keys).toBe(12);
    const asCut = `${FULL}as-cut: { pieces: { key-1: { cuts: { end-left: { lean: 0.2 deg } } } } }\n`;
    expect(jobCell(job(asCut)).depth).toBe(12);
  });

  it("are refused without the other: a lean needs a depth", () => {
    const flat = (text: string) => text.replace("depth: 12 mm\n", "");
    for (const [keys, what] of [
      ["lean: 0.3 deg", "Lean"],
      ["lean-trusted-to: 0.3 deg", "Lean-trusted-to"],
    ])
      expect(sentencesOf(flat(withKeys(keys!)))).toEqual([
        `${what}: the job does not say how deep the strips are; a face that leans moves by the lean times the depth, so give depth beside strip, or leave the lean out.`,
      ]);
    const asCut = `${flat(FULL)}as-cut: { pieces: { key-1: { cuts: { end-left: { lean: 0.2 deg } } } } }\n`;
    const [fault] = faultsOf(() => job(asCut));
    expect(fault).toMatchObject({ field: expect.stringMatching(/lean$/), example: "depth: 12 mm" });
  });

  it("are refused out of reach", () => {
    expect(sentencesOf(withKeys("lean: 12 deg"))[0]).toMatch(
      /^Lean: it is out of reach; a ramp leans by at most 10°/,
    );
    expect(sentencesOf(withKeys("lean-trusted-to: -1 deg"))).toHaveLength(1);
    expect(sentencesOf(withKeys("rolled: true"))[0]).toMatch(/^Rolled: this jig does not lean/);
    for (const depth of ["0 mm", "-3 mm", "2 deg"])
      expect(sentencesOf(FULL.replace("depth: 12 mm", `depth: ${depth}`)), depth).toHaveLength(1);
  });

  it("lean every cut of a jig as it is known to, the second the other way where the strip is rolled, but for cuts with a lean of their own", () => {
    const text = withKeys("lean: 0.3 deg, rolled: true");
    const own =
      "as-cut: { pieces: { key-1: { cuts: { end-left: { lean: -1 deg }, end-right: { lean: 0 deg } } } } }\n";
    const leaning = job(`${text}${own}`);
    const cell = jobCell(leaning);
    const { indexOf } = errorLayout(cell);
    const errors = jobAsCut(leaning, cell);
    const leanOf = (piece: string, face: "end-left" | "end-right"): number =>
      errors[indexOf("lean", piece, face)]! / DEGREE;
    expect(leanOf("diagonal", "end-left")).toBeCloseTo(0.3, 12);
    expect(leanOf("diagonal", "end-right")).toBeCloseTo(-0.3, 12);
    expect(leanOf("key-1", "end-left")).toBeCloseTo(-1, 12);
    expect(leanOf("key-1", "end-right")).toBe(0);
    expect(leanOf("hinge-1", "end-left")).toBe(0);
  });
});

const HEADING = "id,trial,set-up,bench,joint,what,at,side,value,low,high,unit,instrument,note";
const ROWS = `${HEADING}
r1,c1,,cell,hinge-1.end-right,gap,widest,front,,0,0.05,mm,feeler,
r2,c1,,cell,hinge-1.end-right,gap,toe,Back,0.08,,,mm,loupe,
r3,c1,,cell,hinge-1.end-right,gap,widest,,,0.05,0.1,mm,feeler,
`;

describe("readings at the front and at the back", () => {
  const folder = (text: string, table: string) => inFolder({ "job.yaml": text, "trials.csv": table });
  const load = (text: string, table: string) => {
    const place = folder(text, table);
    return loadTrials(place, loadJob(place));
  };

  it("name their side, or neither: then the wider of the two", () => {
    const readings = load(withKeys("lean-trusted-to: 0.1 deg"), ROWS);
    expect(readings.map(({ side }) => side)).toEqual(["front", "back", undefined]);
    const written = trialsCsv(job(FULL), readings).split("\n");
    expect(written[0]).toContain(",at,side,value");
    expect(written[2]).toContain(",toe,back,0.08");
    expect(trialsCsv(job(FULL), readings.slice(2)).split("\n")[0]).not.toContain("side");
  });

  it("are refused where nothing leans, of what is no gap, and of no such side", () => {
    const sentence = (text: string, table: string): string | undefined =>
      faultsOf(() => load(text, table))[0]?.sentence;
    expect(sentence(FULL, ROWS)).toMatch(/^Side: nothing leans in this job, so front and back are alike/);
    const leaning = withKeys("lean-trusted-to: 0.1 deg");
    expect(sentence(leaning, ROWS.replace(",front,", ",top,"))).toMatch(/no such side of the panel/);
    const angle = `${HEADING}\nr1,c1,,none,hinge-1.end-left,angle,,front,22.6,,,deg,angle-gauge,\n`;
    expect(sentence(leaning, angle)).toMatch(/^Side: an angle has no side/);
  });
});

describe("a truth file", () => {
  it("may say how far jigs lean; what it does not name is right", () => {
    const text = `${withKeys("lean-trusted-to: 0.1 deg")}benches: { corner-90: { trusted-to: 0.05 deg } }\n`;
    const place = inFolder({
      "job.yaml": text,
      "truth.yaml": "seed: 3\nleans: { point-45: 0.4 deg }\nthickness: 0.05\n",
    });
    const { sources } = loadTruth(join(place, "truth.yaml"), loadJob(place));
    // Ramps, stops, thickness, lean, reference: the last has no error unless the file could name one.
    expect([...sources.slice(-3)]).toEqual([0.05, expect.closeTo(0.4 * DEGREE, 14), 0]);
    const flat = inFolder({ "job.yaml": FULL, "truth.yaml": "seed: 3\nleans: { point-45: 0.4 deg }\n" });
    const [fault] = faultsOf(() => loadTruth(join(flat, "truth.yaml"), loadJob(flat)));
    expect(fault!.sentence).toMatch(/^There is no lean “point-45” in this job; there is none: give a jig/);
  });
});
