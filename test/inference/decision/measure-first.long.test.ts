import { describe, expect, it } from "vitest";
import { type Advice, type Decision, decideMoves } from "../../../src/inference/decision/decide-moves.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { cellSpecimen } from "../../../src/inference/likelihood/specimen.js";
import type { Job } from "../../../src/model/job/job.js";
import { demoJob, demoReadings } from "../demo.js";

const decide = (job: Job, readings: typeof demoReadings) =>
  decideMoves(job, fitSources(job, readings), cellSpecimen(job), { seed: 3 });
const names = (advice: readonly Advice[]): string[] => advice.map(({ adjuster }) => adjuster.name);
const waiting = ({ advice }: Decision): readonly Advice[] => advice.filter(({ readPays }) => readPays);

describe("read first", () => {
  /** Nothing read that depends on a stop, and a caliper at hand. */
  const withoutLengths = demoReadings.filter(({ what, bench }) => what !== "length" && bench !== "cell");

  it("is advised where a stop was never measured and a reading would tell, and names the reading", () => {
    const decision = decide(demoJob, withoutLengths);
    expect(names(waiting(decision)).length).toBeGreaterThan(0);
    const { readFirst } = decision;
    expect(readFirst!.value).toBeGreaterThan(readFirst!.cost);
    expect(readFirst!.readings.some(({ what }) => what === "length" || what === "shoulder")).toBe(true);
    for (const { setting, verdict, read } of waiting(decision)) {
      expect([setting.change, verdict]).toEqual([0, "not known"]);
      expect(read!.value).toBeGreaterThan(read!.cost);
    }
  });

  it("is never replaced by leaving alone what rests on its prior", () => {
    const { advice } = decide(demoJob, withoutLengths);
    const stops = advice.filter(({ adjuster }) => adjuster.kind === "stop");
    expect(stops.map(({ verdict }) => verdict)).toEqual(stops.map(() => "not known"));
    // A length or a shoulder of a piece that is cut at that stop.
    for (const { read } of stops) expect(read!.readings[0]!.what).toMatch(/length|shoulder/);
  });

  it("is not advised once the readings have told", () => {
    const { advice, readFirst } = decide(demoJob, demoReadings);
    expect(readFirst).toBeNull();
    expect(advice.map(({ verdict }) => verdict)).not.toContain("not known");
  });

  it("is not advised where a trial costs more than it could save", () => {
    const dear = { ...demoJob, costs: { ...demoJob.costs, trial: 1000 } };
    const decision = decide(dear, withoutLengths);
    expect(decision.readFirst).toBeNull();
    expect(waiting(decision)).toEqual([]);
  });

  it("names an instrument to borrow where none of the shop's tells it", () => {
    const blind = { ...demoJob, instruments: demoJob.instruments.filter(({ name }) => name !== "caliper") };
    const gaps = withoutLengths.filter(({ instrument }) => instrument !== "caliper");
    const stops = decide(blind, gaps).advice.filter(({ adjuster }) => adjuster.kind === "stop");
    const fetched = stops.filter(({ read }) => read?.borrowed);
    expect(fetched.length).toBeGreaterThan(0);
    for (const { read } of fetched) expect(read!.readings.at(-1)!.instrument).toBe("caliper");
  });
});

describe("more moves than closing asks for", () => {
  const moved = (settings: readonly { readonly change: number }[]): number =>
    settings.filter(({ change }) => change !== 0).length;

  it("are explained: fewer would close as many cells, with wider gaps and a larger loss", () => {
    const { fewer, advice } = decide(demoJob, demoReadings);
    expect(moved(fewer!.settings)).toBeLessThan(moved(advice.map(({ setting }) => setting)));
    expect(fewer!.fewer.closes).toBeGreaterThanOrEqual(fewer!.chosen.closes);
    expect(fewer!.fewer.widestGap).toBeGreaterThan(fewer!.chosen.widestGap);
    expect(fewer!.fewer.loss).toBeGreaterThan(fewer!.chosen.loss);
  });

  it("are not made where gaps within the limits cost nothing", () => {
    const bare = { ...demoJob, costs: { ...demoJob.costs, gap: 0, loosePiece: 0 } };
    const { fewer, advice } = decide(bare, demoReadings);
    expect(fewer).toBeNull();
    expect(moved(advice.map(({ setting }) => setting))).toBeLessThan(6);
  });
});
