import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { WIDEN } from "../../../src/io/records/jig-record.js";
import { loadRecord } from "../../../src/io/records/load-record.js";
import { FULL } from "../good-job.js";
import { faultsOf, inFolder } from "../in-folder.js";

const DEGREE = Math.PI / 180;
const RECORD = `from: Alcove screen, new jigs
date: 2026-01-01
ramps:
  point-45: { ramp: 45 deg, error: 0.3 deg, uncertainty: 0.04 deg }
  point-67: { ramp: 67.5 deg, error: 0.1 deg, uncertainty: 0.02 deg }
  elsewhere: { ramp: 30 deg, error: 1 deg, uncertainty: 0.1 deg }
stops:
  key-end: { jig: point-45, cuts: [key.end], opening: 60 mm, strip: 3 mm, error: -0.11 mm, uncertainty: 0.01 mm }
  diagonal-end: { jig: point-45, cuts: [diagonal.end], opening: 55 mm, strip: 3 mm, error: 0.2 mm, uncertainty: 0.01 mm }
`;
const load = (extra: string, record = RECORD) =>
  loadJob(inFolder({ "job.yaml": `${FULL}${extra}`, "jigs.yaml": record }));
const jobFaults = (extra: string, record = RECORD) => faultsOf(() => load(extra, record));

describe("a job that starts from a record", () => {
  const job = load("records: jigs.yaml\n");
  const jig = (name: string) => job.jigs.find((one) => one.name === name)!;
  const stop = (name: string) => job.setUps.find((one) => one.name === name)!.stop!;

  it("expects each ramp where the record left it, widened as usual", () => {
    expect(jig("point-45").priorMean).toBeCloseTo(0.3 * DEGREE, 12);
    expect(jig("point-45").priorSd).toBeCloseTo(Math.hypot(0.04 * DEGREE, WIDEN.ramps), 12);
  });

  it("leaves alone what the record does not know, and what the job is sure of", () => {
    expect(jig("bevel-22").priorMean).toBeUndefined();
    // Trusted to 0 by the job itself.
    expect(jig("point-67")).toMatchObject({ priorSd: 0 });
    expect(jig("point-67").priorMean).toBeUndefined();
  });

  it("expects a lean where the record left it, where the job leaves room for one", () => {
    const leaning = FULL.replace(
      "ramp: 45 deg",
      "ramp: 45 deg, lean-trusted-to: 0.2 deg, rolled: true",
    ).replace("ramp: 22.5 deg", "ramp: 22.5 deg, lean: 0.1 deg");
    const record = `${RECORD}leans:\n  point-45: { error: -0.3 deg, uncertainty: 0.03 deg }\n  bevel-22: { error: 0.4 deg, uncertainty: 0.01 deg }\n`;
    const files = { "job.yaml": `${leaning}records: jigs.yaml\n`, "jigs.yaml": record };
    const { jigs } = loadJob(inFolder(files));
    expect(jigs[0]!.lean).toEqual({
      priorMean: expect.closeTo(-0.3 * DEGREE, 14),
      priorSd: expect.closeTo(Math.hypot(0.03 * DEGREE, WIDEN.ramps), 14),
      rolled: true,
    });
    // Right by declaration, and none at all.
    expect(jigs.find(({ name }) => name === "bevel-22")!.lean!.priorMean).toBeCloseTo(0.1 * DEGREE, 14);
    expect(load("records: jigs.yaml\n", record).jigs.every(({ lean }) => lean === undefined)).toBe(true);
  });

  it("takes over a stop only for the same cuts of the same cell", () => {
    expect(stop("key-end").priorMean).toBeCloseTo(-0.11, 12);
    expect(stop("key-end").priorSd).toBeCloseTo(Math.hypot(0.01, WIDEN.stops), 12);
    expect(stop("diagonal-end").priorMean).toBeUndefined();
    expect(stop("diagonal-end").priorSd).toBe(0.1);
  });

  it("is widened as the job says", () => {
    const wide = load("records: [jigs.yaml]\nwiden: { ramps: 0.2 deg, stops: 0 }\n");
    expect(wide.jigs[0]!.priorSd).toBeCloseTo(Math.hypot(0.04, 0.2) * DEGREE, 12);
    expect(wide.setUps.find(({ name }) => name === "key-end")!.stop!.priorSd).toBeCloseTo(0.01, 12);
  });

  it.each<[string, string, string | undefined, RegExp]>([
    [
      "a file that is not there",
      "records: jig.yaml\n",
      undefined,
      /it cannot be read; there is no such file or folder.*the value was “jig.yaml”/,
    ],
    ["a file elsewhere", "records: ../jigs.yaml\n", undefined, /leads outside the job's folder/],
    ["an absolute place", "records: /etc/passwd\n", undefined, /leads outside the job's folder/],
    [
      "a jig of another angle",
      "records: jigs.yaml\n",
      RECORD.replace("45 deg, error", "44 deg, error"),
      /labelled 44° and this job's 45°/,
    ],
    [
      "a jig in two records",
      "records: [jigs.yaml, ./jigs.yaml]\n",
      undefined,
      /point-45 is also in jigs.yaml/,
    ],
    [
      "a record that is wrong",
      "records: jigs.yaml\n",
      RECORD.replace("0.3 deg", "0.3 mm"),
      /its line 4 is wrong; error: /,
    ],
  ])("refuses %s", (_, extra, record, says) => {
    const faults = jobFaults(extra, record);
    expect(faults[0]).toMatchObject({ sentence: expect.stringMatching(says), line: expect.any(Number) });
    expect(faults[0]!.field).toMatch(/^records/);
  });
});

describe("a record", () => {
  const faults = (text: string) => faultsOf(() => loadRecord(`${inFolder({ "r.yaml": text })}/r.yaml`));

  it.each<[string, string, number, RegExp]>([
    ["without a date", RECORD.replace(/date.*\n/, ""), 1, /^Date: it is missing/],
    ["with an angle that is a length", RECORD.replace("0.3 deg", "0.3 mm"), 4, /^Error: /],
    ["with an uncertainty of nothing", RECORD.replace("0.04 deg", "0"), 4, /^Uncertainty: /],
    [
      "with a key misspelt",
      RECORD.replace("uncertainty: 0.04", "uncertanty: 0.04"),
      4,
      /Did you mean uncertainty\?/,
    ],
    ["with ramps that are a list", "from: a\ndate: b\nramps: [1]\n", 3, /not a group of named entries/],
    ["with a ramp that is a number", "from: a\ndate: b\nramps: { j: 3 }\n", 3, /not a group of keys/],
    ["with cuts that are no list", RECORD.replace("[key.end]", "key.end"), 8, /^Cuts: it is not a list/],
    ["that is a list", "- 1\n", 1, /not a group of keys/],
    ["that is not YAML", "from: [\n", 2, /bracket/],
  ])("%s is refused with its place", (_, text, line, says) => {
    const found = faults(text);
    expect(found.map(({ sentence }) => sentence).join(" ")).toMatch(says);
    expect(found.some((fault) => fault.line === line)).toBe(true);
  });
});

describe("what a record says of its jigs together", () => {
  const CASE = (share: number, error: string, r: string): string =>
    `  - share: ${share}
    errors: { ramp point-45: ${error}, stop key-end: -0.11 mm }
    uncertainties: { ramp point-45: 0.04 deg, stop key-end: 0.01 mm }
    correlations: { ramp point-45 with stop key-end: ${r} }
`;
  const TOGETHER = `${RECORD}together:\n${CASE(0.75, "0.3 deg", "-0.5")}${CASE(0.25, "-0.3 deg", "0.5")}`;
  const read = (text: string) => loadRecord(`${inFolder({ "r.yaml": text })}/r.yaml`);
  const faults = (text: string) => faultsOf(() => read(text));

  it("is a mixture in mm and radians, over what it names", () => {
    const { sources, cases } = read(TOGETHER).together!;
    expect(sources).toEqual([
      { kind: "ramp", of: "point-45" },
      { kind: "stop", of: "key-end" },
    ]);
    expect(cases.map(({ share }) => share)).toEqual([0.75, 0.25]);
    const [ramp, stop] = [0.04 * DEGREE, 0.01];
    expect(cases[1]!.mean[0]).toBeCloseTo(-0.3 * DEGREE, 14);
    expect(cases[1]!.mean[1]).toBe(-0.11);
    expect(cases[1]!.covariance[1]).toBeCloseTo(0.5 * ramp * stop, 12);
    expect(cases[1]!.covariance[3]! / stop ** 2).toBeCloseTo(1, 4);
  });

  it("reaches a job widened by wear, each source by its own", () => {
    const { recorded, jigs } = load(
      "records: jigs.yaml\nwiden: { ramps: 0.03 deg, stops: 0.02 mm }\n",
      TOGETHER,
    );
    expect(recorded!.files).toEqual(["jigs.yaml"]);
    expect(recorded!.sources).toEqual([
      { kind: "ramp", of: "point-45" },
      { kind: "stop", of: "key-end" },
    ]);
    const [first, second] = recorded!.cases;
    expect([first!.share, second!.share]).toEqual([0.75, 0.25]);
    expect(Math.sqrt(first!.covariance[0]!)).toBeCloseTo(0.05 * DEGREE, 6);
    expect(Math.sqrt(first!.covariance[3]!)).toBeCloseTo(Math.hypot(0.01, 0.02), 6);
    // What widens each by itself does not tie them.
    expect(first!.covariance[1]).toBeCloseTo(-0.5 * 0.04 * DEGREE * 0.01, 12);
    // The jig by itself has the moments over both sides.
    expect(jigs[0]!.priorMean).toBeCloseTo(0.15 * DEGREE, 12);
    expect(jigs[0]!.priorSd).toBeCloseTo(Math.sqrt(0.05 ** 2 + 0.75 * 0.25 * 0.6 ** 2) * DEGREE, 5);
  });

  it("is left out of older records, whose jigs are then independent", () => {
    const { recorded } = load("records: jigs.yaml\n");
    expect(read(RECORD).together).toBeUndefined();
    expect(recorded!.cases).toHaveLength(1);
    expect(recorded!.cases[0]!.covariance[1]).toBe(0);
    expect(load("").recorded).toBeUndefined();
  });

  it.each<[string, string, RegExp]>([
    [
      "a jig that the record has no entry for",
      TOGETHER.replaceAll("ramp point-45", "ramp other"),
      /no entry for.*“ramp other”/,
    ],
    [
      "a case without what the other has",
      TOGETHER.replace("errors: { ramp point-45: -0.3 deg, ", "errors: { "),
      /not the same in all cases/,
    ],
    ["shares that are not 1 together", TOGETHER.replace("share: 0.25", "share: 0.5"), /do not add up to 1/],
    [
      "a pair that is none",
      TOGETHER.replace("with stop key-end: 0.5", "and stop key-end: 0.5"),
      /not a pair of this case/,
    ],
    ["a correlation of more than all", TOGETHER.replace("key-end: 0.5", "key-end: 1.5"), /between −1 and 1/],
    [
      "an angle for a stop",
      TOGETHER.replaceAll("-0.11 mm }\n    unc", "0.1 deg }\n    unc"),
      /^Stop key-end: /,
    ],
  ])("%s is refused with its place", (_, text, says) => {
    const found = faults(text);
    expect(found.map(({ sentence }) => sentence).join(" ")).toMatch(says);
    expect(found[0]!.line).toBeGreaterThan(9);
  });

  it("correlations that contradict each other are refused", () => {
    const names = ["ramp point-45", "ramp point-67", "stop key-end"];
    const three = `${RECORD}together:
  - share: 1
    errors: { ${names.map((name) => `${name}: 0.1`).join(", ")} }
    uncertainties: { ${names.map((name) => `${name}: 0.02`).join(", ")} }
    correlations: { ramp point-45 with ramp point-67: 0.9, ramp point-45 with stop key-end: 0.9, ramp point-67 with stop key-end: -0.9 }
`;
    expect(faults(three)[0]!.sentence).toMatch(/contradict each other/);
    expect(read(three.replace("-0.9", "0.9")).together!.sources).toHaveLength(3);
  });
});
