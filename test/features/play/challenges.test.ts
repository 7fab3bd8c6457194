import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { starterJob } from "../../../src/features/new/index.js";
import {
  type Challenge,
  challengesOf,
  isMove,
  sizesWith,
  standingOf,
} from "../../../src/features/play/challenges.js";
import { jobToPlay } from "../../../src/features/play/live-page.js";
import { play, playCell } from "../../../src/features/play/play-cell.js";
import { type PlayJob, scaleOf, slidersOf } from "../../../src/features/play/play-job.js";
import { closes } from "../../../src/features/play/play-text.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { inFolder } from "../../io/in-folder.js";

const DATA = resolve(import.meta.dirname, "../../../data");
const started = (pattern: string, units: "mm" | "in"): PlayJob =>
  jobToPlay(loadJob(inFolder({ ...starterJob("invented", units, shippedPattern(pattern)) })));

const JOBS: [string, () => PlayJob][] = [
  ["no job", () => jobToPlay()],
  ...["alcove-screen", "leaning-ramp"].map((name): [string, () => PlayJob] => [
    name,
    () => jobToPlay(loadJob(resolve(DATA, name))),
  ]),
  ...shippedPatterns().flatMap((pattern, k): [string, () => PlayJob][] => [
    [pattern, () => started(pattern, k % 2 === 0 ? "mm" : "in")],
  ]),
];

describe.each(JOBS)("the challenges of a page: %s", (_, make) => {
  const job = make();
  const cell = playCell(job);
  const sliders = slidersOf(job);
  const challenges = challengesOf(job);
  const closed = (challenge: Challenge, values: readonly number[]): boolean =>
    closes(play(cell, sizesWith(sliders, values, challenge)).prediction, job);

  it("are three, of different faults, of cells that do not close as they are found", () => {
    expect(challenges).toHaveLength(3);
    expect(new Set(challenges.map(({ faults }) => faults.join())).size).toBe(3);
    const none = sliders.map(() => 0);
    for (const challenge of challenges) {
      expect(closed(challenge, none), challenge.title).toBe(false);
      expect(standingOf(sliders, none, {}, false).won).toBe(false);
    }
  });

  it("can each be won with one move, in the steps of either unit", () => {
    for (const challenge of challenges) {
      for (const unit of ["mm", "in"] as const) {
        const won = challenge.faults.some((fault, k) => {
          if (fault === 0) return false;
          const { step, size } = scaleOf(sliders[k]!, unit);
          const back = -Math.round(fault / size / step) * step * size;
          const values = sliders.map((__, i) => (i === k ? back : 0));
          return standingOf(sliders, values, {}, closed(challenge, values)).won;
        });
        expect(won, `${challenge.title} in ${unit}`).toBe(true);
      }
    }
  });
});

describe("a challenge", () => {
  const job = jobToPlay();
  const sliders = slidersOf(job);
  it("is not won with two moves, by trimming, or by what is no move", () => {
    const move = (...which: readonly number[]): number[] =>
      sliders.map((_, i) => (which.includes(i) ? 0.1 : 0));
    expect(standingOf(sliders, move(0), {}, true).won).toBe(true);
    expect(standingOf(sliders, move(0, 1), {}, true).won).toBe(false);
    expect(standingOf(sliders, move(0), { diagonal: 0.1 }, true).won).toBe(false);
    const stock = sliders.findIndex((slider) => !isMove(slider));
    expect(standingOf(sliders, move(stock), {}, true).won).toBe(false);
  });
});
