import { dirname, join } from "node:path";
import { describe, expect, it } from "vitest";
import { parse } from "yaml";
import { loadJob } from "../../../src/io/job/load-job.js";
import { CLOSING_SEAT_SHARE } from "../../../src/model/cell/asanoha-square.js";
import { JOB_DEFAULTS, type Job } from "../../../src/model/job/job.js";
import { FULL, LEAST } from "../good-job.js";
import { faultsOf, inFolder } from "../in-folder.js";

const DEGREE = Math.PI / 180;
const load = (text: string, name = "job.yaml"): Job => loadJob(join(inFolder({ [name]: text }), name));
const withoutFile = ({ file: _, title: __, ...rest }: Job) => rest;

describe("a job file with the least in it", () => {
  const job = load(LEAST, "alcove.yaml");

  it("gives its sizes in mm and every default", () => {
    expect(job).toMatchObject({ pattern: "asanoha-square", opening: 60, strip: 3, units: "mm" });
    expect(job).toMatchObject({ order: "exact", pressRatio: 1000, seatShare: CLOSING_SEAT_SHARE });
    expect(job).toMatchObject({ asCut: null, jigs: [], setUps: [], instruments: [] });
    expect(job.batchThickness).toBe(JOB_DEFAULTS.batchThickness);
    expect(job.betweenCutSd).toEqual({
      angle: JOB_DEFAULTS.betweenCutAngle,
      length: JOB_DEFAULTS.betweenCutLength,
      thickness: JOB_DEFAULTS.betweenCutThickness,
    });
    expect(job.grid).toEqual({ offset: JOB_DEFAULTS.gridOffset, turn: JOB_DEFAULTS.gridTurn });
    expect(job.limits).toEqual({ gap: JOB_DEFAULTS.gapLimit, snug: JOB_DEFAULTS.snugLimit });
  });

  it("is called after itself, or after its folder", () => {
    expect(job.title).toBe("alcove");
    const folder = inFolder({ "job.yaml": LEAST });
    expect(loadJob(folder).title).toBe(folder.split("/").at(-1));
    expect(loadJob(join(folder, "job.yaml"))).toEqual(loadJob(folder));
    expect(loadJob(folder).file).toBe(join(folder, "job.yaml"));
  });
});

describe("a job file with everything in it", () => {
  const job = load(FULL);

  it("comes out in mm and rad", () => {
    expect(job.title).toBe("Alcove screen, new jigs");
    expect(job.jigs).toEqual([
      {
        name: "point-45",
        ramp: Math.PI / 4,
        fence: "centred",
        priorSd: expect.closeTo(0.4 * DEGREE, 15),
        shims: { base: 90, leaves: [0.1, 0.2, 0.3, 0.5] },
      },
      { name: "point-67", ramp: (3 * Math.PI) / 8, fence: "short-side", priorSd: 0, shims: null },
      {
        name: "bevel-22",
        ramp: Math.PI / 8,
        fence: "long-side",
        priorSd: expect.closeTo(0.4 * DEGREE, 15),
        shims: null,
      },
    ]);
    expect(job.setUps.map(({ name }) => name)).toEqual([
      ...["diagonal-start", "diagonal-end", "hinge-point", "hinge-end", "key-start", "key-end"],
    ]);
    expect(job.setUps[0]).toEqual({
      name: "diagonal-start",
      jig: "point-45",
      cuts: ["diagonal.start"],
      stop: null,
    });
    expect(job.setUps[1]!.stop).toEqual({ priorSd: 0.1, step: 0.05 });
    expect(job.setUps[3]).toMatchObject({
      cuts: ["hinge.mitre", "hinge.seat"],
      stop: { priorSd: 0.2, step: null },
    });
    expect(job.setUps[5]!.stop).toEqual({ priorSd: JOB_DEFAULTS.stopTrustedTo, step: 0.05 });
    expect(job.instruments[0]).toEqual({
      name: "feeler",
      reads: ["gap"],
      reach: ["widest"],
      leaves: [0.05, 0.1, 0.15, 0.2],
      resolution: null,
      repeatability: 0,
      bias: 0,
      biasPriorSd: 0,
    });
    expect(job.instruments[3]).toMatchObject({
      reads: ["angle"],
      reach: [],
      leaves: [],
      resolution: expect.closeTo(0.1 * DEGREE, 15),
      repeatability: expect.closeTo(0.05 * DEGREE, 15),
    });
    expect(job.betweenCutSd).toEqual({
      angle: expect.closeTo(0.06 * DEGREE, 15),
      length: 0.03,
      thickness: 0.02,
    });
    expect(job.batchThickness).toBe(0.04);
    expect(job.grid).toEqual({ offset: 0.03, turn: expect.closeTo(0.01 * DEGREE, 15) });
    expect(job.limits).toEqual({ gap: 0.12, snug: 0.03 });
  });

  it("is the same job in JSON, with tabs, a byte order mark, or the line ends of Windows", () => {
    const json = load(JSON.stringify(parse(FULL), null, "\t"), "job.json");
    expect(withoutFile(json)).toEqual(withoutFile(job));
    expect(withoutFile(load(`\uFEFF${FULL.replaceAll("\n", "\r\n")}`))).toEqual(withoutFile(job));
  });

  it("takes a repeated group by an alias", () => {
    const shared = FULL.replace("shims: { base", "shims: &all { base").replace(
      "locked: true }",
      "shims: *all }",
    );
    const { jigs } = load(
      shared
        .replace("trusted-to: 0,", "trusted-to: 0.1,")
        .replace("locked: true, trusted-to: 0 }", "shims: *all }"),
    );
    expect(jigs[1]!.shims).toEqual(jigs[0]!.shims);
  });

  it("locks a jig that has shims", () => {
    const { jigs } = load(FULL.replace("fence: centred", "locked: true"));
    expect(jigs[0]!.shims).toBeNull();
  });
});

describe("units", () => {
  it("count for bare lengths and not for angles", () => {
    const inches = load(
      "units: in\npattern: asanoha-square\nopening: 2 3/8\nstrip: 0.125\nlimits: { gap: 0.1 mm, snug: 0.001 }\nscatter: { angle: 1 }\n",
    );
    expect(inches.opening).toBe(60.325);
    expect(inches.strip).toBe(3.175);
    expect(inches.limits).toEqual({ gap: 0.1, snug: 0.0254 });
    expect(inches.betweenCutSd.angle).toBeCloseTo(DEGREE, 15);
  });

  it("must be named with as-cut lengths where they are inches", () => {
    const asCut =
      "as-cut: { pieces: { hinge-1: { thickness: 0.02 mm, cuts: { end-left: { angle: 0.5, axial: 2 thou } } }, key-2: {} }, walls: { wall-top: { turn: -0.1, offset: 0.3 mm } } }\n";
    const job = load(`units: in\npattern: asanoha-square\nopening: 2 3/8\nstrip: 1/8\n${asCut}`);
    expect(job.asCut).toEqual({
      pieces: {
        "hinge-1": {
          thickness: 0.02,
          cuts: { "end-left": { angle: expect.closeTo(0.5 * DEGREE, 15), axial: 0.0508 } },
        },
        "key-2": {},
      },
      walls: { "wall-top": { turn: expect.closeTo(-0.1 * DEGREE, 15), offset: 0.3 } },
    });
  });
});

describe("the job's folder", () => {
  it("must have one job file", () => {
    const both = inFolder({ "job.yaml": LEAST, "job.json": "{}" });
    expect(faultsOf(() => loadJob(both))[0]!.sentence).toMatch(
      /more than one job file \(job.yaml, job.json\)/,
    );
    const none = inFolder({ "alcove.yaml": LEAST });
    expect(faultsOf(() => loadJob(none))[0]!.sentence).toMatch(/no job file/);
    expect(loadJob(inFolder({ "job.yml": LEAST })).opening).toBe(60);
  });

  it("is named as the caller named it", () => {
    const path = join(inFolder({ "job.yaml": LEAST }), "nowhere.yaml");
    const [fault] = faultsOf(() => loadJob(path));
    expect(fault).toMatchObject({ file: path, line: 0, column: 0 });
    expect(fault!.sentence).toMatch(/no such file/);
    expect(faultsOf(() => loadJob(join(dirname(path), "job.yaml")))).toEqual([]);
  });
});
