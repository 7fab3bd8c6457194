import { mkdtempSync, readFileSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { starterJob } from "../../../src/features/new/index.js";
import { shopParts, withRound, withValue } from "../../../src/features/sheet/shop-form.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { shippedPattern } from "../../../src/io/patterns/find-pattern.js";

const DEMO = readFileSync("data/alcove-screen/job.yaml", "utf8");

function load(text: string) {
  const folder = mkdtempSync(join(tmpdir(), "sukima-form-"));
  writeFileSync(join(folder, "job.yaml"), text);
  return loadJob(folder);
}
const fieldOf = (job: string, id: string) =>
  shopParts(job)
    .flatMap(({ fields }) => fields)
    .find((field) => field.id === id)!;
const changed = (job: string, id: string, typed: string) => withValue(job, fieldOf(job, id), typed);

describe("the job as a form", () => {
  it("writes one value and leaves everything else, comments too", () => {
    const text = changed(DEMO, "opening", "2 5/16 in");
    expect(load(text).opening).toBeCloseTo(58.7375, 9);
    expect(text).toContain("# clear side of one cell");
    expect(text).toContain("# An invented job: no such screen, shop or jigs exist.");
    const { opening: _, file: __, arrangement: ___, patternSizes: ____, ...rest } = load(text);
    expect(load(DEMO)).toMatchObject(rest);
  });

  it.each(["asanoha-square", "diamond"])(
    "keeps the job of a starter for %s as it is when every value is typed again",
    (name) => {
      for (const units of ["mm", "in"] as const) {
        const starter = starterJob("Again", units, shippedPattern(name))["job.yaml"];
        let text = starter;
        for (const { fields } of shopParts(starter))
          for (const field of fields) if (field.value !== "") text = withValue(text, field, field.value);
        const { file: _, ...job } = load(text);
        const { file: __, ...before } = load(starter);
        expect(job).toEqual(before);
      }
    },
  );

  it("takes lists of leaves, and fixes and frees a ramp and a stop", () => {
    const leaves = changed(DEMO, "instruments.feeler.leaves", "0.05, 0.1, 8 thou");
    expect(load(leaves).instruments.find(({ name }) => name === "feeler")?.leaves).toEqual([
      0.05, 0.1, 0.2032,
    ]);
    const fixed = changed(
      changed(DEMO, "jigs.point-67.locked", "true"),
      "set-ups.key-end.stop.locked",
      "true",
    );
    expect(load(fixed).jigs.find(({ name }) => name === "point-67")?.shims).toBeNull();
    expect(load(fixed).setUps.find(({ name }) => name === "key-end")?.stop?.step).toBeNull();
    const free = changed(changed(fixed, "jigs.point-67.locked", ""), "set-ups.key-end.stop.locked", "");
    expect(load(free).jigs).toEqual(load(DEMO).jigs);
    expect(load(free).setUps).toEqual(load(DEMO).setUps);
  });

  it("gives a ramp that was never adjustable the usual shims", () => {
    const text = DEMO.replace(/(bevel-22: \{.*trusted-to: 0.5 deg), shims: \{[^}]*\}/, "$1, locked: true");
    expect(text).not.toBe(DEMO);
    const free = changed(text, "jigs.bevel-22.locked", "");
    expect(load(free).jigs.find(({ name }) => name === "bevel-22")?.shims?.base).toBe(80);
  });

  it("adds the round that a calibration prints", () => {
    const round =
      "rounds:\n  second:\n    ramps: { point-67: { shim: -0.9 mm } }\n    stops: { key-end: { by: 0.3 mm } }\n";
    const job = load(withRound(DEMO, round));
    expect(job.rounds.map(({ name }) => name)).toEqual(["second"]);
    expect(job.rounds[0]?.moves).toHaveLength(2);
  });
});
