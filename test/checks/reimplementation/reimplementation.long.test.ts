import { execFile } from "node:child_process";
import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { describe, expect, it } from "vitest";
import { at, squareCell } from "./geometry.js";
import { type Mistold, Posterior } from "./posterior.js";
import { draw, type Moments, momentsOf } from "./sample.js";
import { Rig } from "./seating.js";
import { DEGREE, readShop } from "./shop.js";

const ROOT = resolve(import.meta.dirname, "../../..");
const JOBS = {
  "angles-and-lengths": { folder: "test/checks/reimplementation/jobs/angles-and-lengths", draws: 600 },
  "coarse-feeler": { folder: "test/checks/reimplementation/jobs/coarse-feeler", draws: 250 },
  mistakes: { folder: "test/checks/reimplementation/jobs/mistakes", draws: 250 },
  "alcove-screen": { folder: "data/alcove-screen", draws: 160 },
};
type JobName = keyof typeof JOBS;

/** Standard errors of the difference of two sampled figures within which they agree; a good figure is beyond once in 16,000. */
const AGREE = 4;
/** The JSON tells the effective size of the sources alone. Scatters mix more slowly: over six seeds of `fitSources` the mean square of one spread as that of a tenth as many draws would. */
const SCATTER_SHARE = 0.1;
/** Fewer effective draws than this would let nearly anything pass. */
const LEAST_SIZE = 40;

interface Calibrated {
  readonly sources: readonly {
    name: string;
    unit: "deg" | "mm";
    estimate: number;
    standardUncertainty: number;
  }[];
  readonly effectiveSampleSize: number;
  readonly betweenCutSd: Record<"angle" | "length" | "thickness", { stated: number; used: number }>;
}

const calibrations = new Map<JobName, Promise<Calibrated>>();
/** What the product says, asked once for each job. */
function calibrated(name: JobName): Promise<Calibrated> {
  const known =
    calibrations.get(name) ??
    promisify(execFile)(
      process.execPath,
      [join(ROOT, "dist/cli/main.js"), "calibrate", JOBS[name].folder, "--json"],
      {
        cwd: ROOT,
        maxBuffer: 1e8,
      },
    ).then(({ stdout }) => JSON.parse(stdout) as Calibrated);
  calibrations.set(name, known);
  return known;
}

interface Difference {
  readonly of: string;
  /** Of means and of standard deviations, in standard errors of their difference. */
  readonly mean: number;
  readonly sd: number;
  readonly size: number;
}

/** The posterior by the second program, against what the product printed. */
async function differences(name: JobName, draws: number, mistold: Mistold = {}): Promise<Difference[]> {
  const printed = calibrated(name);
  const { shop, readings } = readShop(join(ROOT, JOBS[name].folder));
  const posterior = new Posterior(shop, readings, mistold);
  const drawn = draw(posterior, { seed: 1, chains: 4, draws });
  const { sources, effectiveSampleSize, betweenCutSd } = await printed;
  // Where the product has the closed form its means and deviations of the sources are exact.
  const closed = name === "angles-and-lengths";
  const theirs = closed ? Number.POSITIVE_INFINITY : effectiveSampleSize;
  const apart = (
    { mean, sd, size, sizeForSd }: Moments,
    unit: number,
    them: { mean: number; sd: number },
    n: number,
  ) => ({
    mean: (mean * unit - them.mean) / (them.sd * Math.sqrt(1 / size + 1 / n)),
    sd: Math.log((sd * unit) / them.sd) / Math.sqrt(0.5 / sizeForSd + 0.5 / n),
    size,
  });
  expect(sources).toHaveLength(posterior.sources.length);
  const ofSources = posterior.sources.map(({ name: of, sd: unit }, i): Difference => {
    const { estimate, standardUncertainty, unit: printedIn, name: printedName } = at(sources, i);
    expect(printedName.replace("move of the ", "").replace("move of ", "")).toBe(of);
    const own = unit / (printedIn === "deg" ? DEGREE : 1);
    const them = { mean: estimate, sd: standardUncertainty };
    return { of, ...apart(momentsOf(drawn, i), own, them, theirs) };
  });
  const ofScatters = (["angle", "length", "thickness"] as const).flatMap((of, k): Difference[] => {
    if (!posterior.informed(k)) return [];
    const square = momentsOf(drawn, posterior.sources.length + k, (log) => Math.exp(2 * log));
    const { used, stated } = betweenCutSd[of];
    const them = { mean: (used / stated) ** 2, sd: square.sd };
    return [{ of: `scatter of ${of}`, ...apart(square, 1, them, SCATTER_SHARE * effectiveSampleSize) }];
  });
  return [...ofSources, ...ofScatters];
}

const beyond = (all: readonly Difference[]): Difference[] =>
  all.filter(({ mean, sd }) => Math.abs(mean) > AGREE || Math.abs(sd) > AGREE);

describe("a program written from docs/model.md alone", () => {
  it("imports nothing of the project's", () => {
    const files = readdirSync(import.meta.dirname).filter((name) => name.endsWith(".ts"));
    expect(files.length).toBeGreaterThan(5);
    for (const name of files) {
      const text = readFileSync(join(import.meta.dirname, name), "utf8");
      for (const [, from = ""] of text.matchAll(/^(?:import|export)[^;]*? from "([^"]+)";$/gm))
        expect(from, name).toMatch(/^(node:|\.\/[\w-]+\.js$|yaml$|csv-parse\/sync$|vitest$)/);
    }
  });

  it.each(["cell-everything-off", "cell-blunt-tips"])(
    "seats %s in both orders as it was published",
    (name) => {
      const { opening, strip, asCut, gaps } = JSON.parse(
        readFileSync(join(ROOT, `data/published/${name}.json`), "utf8"),
      );
      const share = Math.cos(Math.PI / 8) / Math.SQRT2;
      const rig = new Rig(squareCell({ opening, strip, share }));
      const errors = new Float64Array(rig.errors.length);
      const set = (kind: Parameters<Rig["indexOf"]>[0], owner: string, value = 0): void => {
        const place = rig.indexOf(kind, owner);
        expect(place, owner).toBeGreaterThanOrEqual(0);
        errors[place] = value;
      };
      type Cuts = Record<string, { angle?: number; axial?: number }>;
      const { pieces = {}, walls = {} } = asCut as {
        pieces?: Record<string, { thickness?: number; cuts?: Cuts }>;
        walls?: Record<string, { turn?: number; offset?: number }>;
      };
      for (const [piece, { thickness, cuts = {} }] of Object.entries(pieces)) {
        set("thickness", piece, thickness);
        for (const [face, { angle = 0, axial }] of Object.entries(cuts)) {
          set("angle", `${piece}.${face}`, angle * DEGREE);
          set("axial", `${piece}.${face}`, axial);
        }
      }
      for (const [wall, { turn = 0, offset }] of Object.entries(walls)) {
        set("turn", wall, turn * DEGREE);
        set("offset", wall, offset);
      }
      const published = gaps as { joint: string; at: string; first: number; exact: number }[];
      const [first, exact] = [rig.first(errors).gap, rig.exact(errors)];
      expect(published).toHaveLength(rig.probes.length);
      for (const { joint, at: end, ...gap } of published) {
        const probe = rig.probes.findIndex((one) => one.joint === joint && one.at === end);
        expect(Math.abs(at(first, probe) - gap.first), joint).toBeLessThan(1e-9);
        expect(Math.abs(at(exact, probe) - gap.exact), joint).toBeLessThan(1e-9);
      }
    },
  );

  it.each(Object.keys(JOBS) as JobName[])("has the posterior that calibrate prints: %s", async (name) => {
    const all = await differences(name, JOBS[name].draws);
    expect(beyond(all)).toEqual([]);
    const ofSources = all.filter(({ of }) => !of.startsWith("scatter"));
    expect(Math.min(...ofSources.map(({ size }) => size))).toBeGreaterThan(LEAST_SIZE);
  });

  it("would not agree with a fence that bears on the other side, nor with soft wood", async () => {
    const fence = await differences("angles-and-lengths", 400, { fenceSign: -1 });
    expect(beyond(fence).map(({ of }) => of)).toContain("stop of hinge-mitre");
    const soft = await differences("coarse-feeler", 60, { pressRatio: 3 });
    expect(beyond(soft).map(({ of }) => of)).toContain("ramp of point-45");
  });
});
