import { describe, expect, it } from "vitest";
import { type JobData, loadJob, makeJob } from "../../src/io/job/load-job.js";
import { loadTrials, makeReadings, type ReadingData } from "../../src/io/trials/load-trials.js";
import { faultsOf, inFolder } from "./in-folder.js";

const DEGREE = Math.PI / 180;
const DATA: JobData = {
  pattern: "asanoha-square",
  opening: "60 mm",
  strip: 4,
  jigs: {
    "point-45": { ramp: "45 deg", "trusted-to": 0.4, shims: { base: 90, leaves: ["0.1 mm", 0.2] } },
    "point-67": { ramp: 67.5, locked: true },
    "bevel-22": { ramp: "22.5 deg", locked: true },
  },
  "set-ups": {
    "diagonal-start": { jig: "point-45", cuts: ["diagonal.start"] },
    "diagonal-end": { jig: "point-45", cuts: ["diagonal.end"], stop: { "trusted-to": 0.1, step: 0.05 } },
    "hinge-point": { jig: "point-67", cuts: ["hinge.point"] },
    "hinge-end": { jig: "bevel-22", cuts: ["hinge.mitre", "hinge.seat"] },
    "key-start": { jig: "point-45", cuts: ["key.start"] },
    "key-end": { jig: "point-45", cuts: ["key.end"] },
  },
  instruments: {
    feeler: { reads: "gap", reach: "widest", leaves: [0.05, 0.1, 0.2] },
    protractor: { reads: "angle", resolution: "0.1 deg" },
  },
};
const JOB_FILE = `title: Untitled
pattern: asanoha-square
opening: 60 mm
strip: 4
jigs:
  point-45: { ramp: 45 deg, trusted-to: 0.4, shims: { base: 90, leaves: [0.1 mm, 0.2] } }
  point-67: { ramp: 67.5, locked: true }
  bevel-22: { ramp: 22.5 deg, locked: true }
set-ups:
  diagonal-start: { jig: point-45, cuts: [diagonal.start] }
  diagonal-end: { jig: point-45, cuts: [diagonal.end], stop: { trusted-to: 0.1, step: 0.05 } }
  hinge-point: { jig: point-67, cuts: [hinge.point] }
  hinge-end: { jig: bevel-22, cuts: [hinge.mitre, hinge.seat] }
  key-start: { jig: point-45, cuts: [key.start] }
  key-end: { jig: point-45, cuts: [key.end] }
instruments:
  feeler: { reads: gap, reach: widest, leaves: [0.05, 0.1, 0.2] }
  protractor: { reads: angle, resolution: 0.1 deg }
`;
const GAP: ReadingData = {
  id: "r1",
  trial: 1,
  "set-up": "diagonal-start",
  bench: "corner-90",
  joint: "start-left",
  what: "gap",
  at: "widest",
  low: 0.05,
  high: "0.1 mm",
  instrument: "feeler",
};
const ANGLE: ReadingData = {
  id: "r2",
  trial: 1,
  "set-up": "diagonal-start",
  bench: "none",
  joint: "start-left",
  what: "angle",
  value: 45.2,
  instrument: "protractor",
};
const job = makeJob(DATA);

describe("a job made from plain data", () => {
  it("is the job of a file that says the same", () => {
    const read = loadJob(inFolder({ "job.yaml": JOB_FILE }));
    expect({ ...job, file: "" }).toEqual({ ...read, file: "" });
    expect(job.jigs[0]).toMatchObject({ ramp: 45 * DEGREE, priorSd: 0.4 * DEGREE });
  });

  it.each<[string, object, string, RegExp]>([
    ["a key misspelt", { strips: 4 }, "strips", /“strips” is not known here. Did you mean strip\?/],
    ["a size that is missing", { opening: undefined }, "opening", /it is missing; it has no default/],
    ["a size that is no number", { strip: Number.NaN }, "strip", /^Strip: it is not a finite number; .*NaN/],
    [
      "a size without an end",
      { strip: Number.POSITIVE_INFINITY },
      "strip",
      /^Strip: it is not a finite number; .*Infinity/,
    ],
    ["a size below nothing", { strip: -4 }, "strip", /^Strip: it is negative; .*-4/],
    [
      "a ramp in radians",
      { jigs: { ...DATA.jigs, "point-45": { ramp: 45 * DEGREE, locked: true } } },
      "set-ups.diagonal-start.jig",
      /has a ramp of 0\.7854° and diagonal\.start is cut at 45°/,
    ],
    [
      "a ramp out of reach",
      { jigs: { ...DATA.jigs, "point-45": { ramp: "45.6 rad" } } },
      "jigs.point-45.ramp",
      /no angle here is beyond 360 degrees/,
    ],
    [
      "a jig that there is not",
      { "set-ups": { a: { jig: "point-44", cuts: ["diagonal.start"] } } },
      "set-ups.a.jig",
      /point-45/,
    ],
    ["a map for a group", { jigs: new Map() }, "jigs", /data are groups, lists, texts/],
    ["a function", { title: () => "" }, "title", /data are groups, lists, texts/],
    ["a pattern outside the folder", { pattern: "../own.yaml" }, "pattern", /outside the job's folder/],
  ])("is refused with %s", (_, change, field, says) => {
    const faults = faultsOf(() => makeJob({ ...DATA, ...change } as JobData));
    const found = faults.filter((fault) => fault.field === field);
    expect(found.map(({ sentence }) => sentence).join(" "), JSON.stringify(faults)).toMatch(says);
    for (const { file, line, column } of faults)
      expect({ file, line, column }).toEqual({ file: "job", line: 0, column: 0 });
  });

  it("is refused with a group that holds itself", () => {
    const jigs: Record<string, unknown> = {};
    jigs.jigs = jigs;
    expect(faultsOf(() => makeJob({ ...DATA, jigs: jigs as never }))[0]).toMatchObject({
      sentence: expect.stringContaining("levels deep"),
    });
  });
});

describe("readings made from plain data", () => {
  it("are the readings of a table that says the same", () => {
    const table = `id,trial,set-up,bench,joint,what,at,value,low,high,unit,instrument,note
r1,1,diagonal-start,corner-90,start-left,gap,widest,,0.05,0.1,mm,feeler,
r2,1,diagonal-start,none,start-left,angle,,45.2,,,deg,protractor,
`;
    const read = loadTrials(inFolder({ "trials.csv": table }), job);
    expect(makeReadings(job, [GAP, ANGLE])).toEqual(
      read.map(({ file: _, ...reading }, i) => ({ ...reading, line: i + 1 })),
    );
  });

  it.each<[string, object, string, RegExp]>([
    ["an unknown instrument", { instrument: "feelr" }, "instrument", /did you mean feeler\?/],
    [
      "an instrument that does not read gaps",
      { instrument: "protractor" },
      "instrument",
      /does not read gaps/,
    ],
    ["no number", { low: Number.NaN }, "low", /NaN/],
    ["an end without an end", { high: Number.POSITIVE_INFINITY }, "high", /Infinity/],
    ["a gap below nothing", { low: -0.05 }, "low", /^Low: .*-0\.05/],
    ["a leaf that there is not", { high: 0.15 }, "high", /feeler has no such leaf/],
    [
      "a joint that does not exist",
      { joint: "start-lef" },
      "joint",
      /there is no such joint .*did you mean point\.start-left\|/,
    ],
    ["an unknown bench", { bench: "corner-91" }, "bench", /did you mean corner-90/],
    ["an unknown set-up", { "set-up": "key-edn", trial: 2 }, "set-up", /did you mean key-end/],
    ["nothing read", { low: undefined, high: undefined }, "high", /has no reading/],
    ["a key misspelt", { setup: "diagonal-start" }, "setup", /Did you mean set-up\?/],
    ["a list", { note: ["a"] }, "note", /it is a text or a number/],
    ["a sign that drives a terminal", { note: "\u001B[2J" }, "note", /invisible character/],
  ])("are refused with %s", (_, change, field, says) => {
    const faults = faultsOf(() => makeReadings(job, [ANGLE, { ...GAP, ...change } as ReadingData]));
    expect(faults.map((fault) => [fault.file, fault.line, fault.field])).toEqual([
      ["reading 2 (r1)", 0, field],
    ]);
    expect(faults[0]?.sentence).toMatch(says);
  });

  it.each<[string, string | number]>([
    ["in another unit", "45.6 rad"],
    ["in radians for degrees", 45 * DEGREE],
    ["counted from the side of the strip", 135],
  ])("are refused with an angle %s", (_, value) => {
    const faults = faultsOf(() => makeReadings(job, [{ ...ANGLE, value }]));
    expect(faults).toMatchObject([{ file: "reading 1 (r2)", field: "value" }]);
  });

  it("are refused with an id twice, and with a trial of two set-ups", () => {
    expect(faultsOf(() => makeReadings(job, [GAP, { ...ANGLE, id: "r1" }]))).toMatchObject([
      {
        file: "reading 2 (r1)",
        field: "id",
        sentence: expect.stringContaining("reading 1 (r1) has this id already"),
      },
    ]);
    const whole: ReadingData = { ...GAP, id: "r3", bench: "cell" };
    const { "set-up": _, joint: __, ...cell } = whole;
    expect(faultsOf(() => makeReadings(job, [GAP, cell]))).toMatchObject([
      {
        file: "reading 2 (r3)",
        field: "trial",
        sentence: expect.stringContaining("reading 1 (r1) has the same trial"),
      },
    ]);
  });

  it("name a reading that is none", () => {
    const faults = faultsOf(() => makeReadings(job, [null as never]));
    expect(faults.map(({ file }) => file)).toContain("reading 1");
  });
});
