import { sourcesOf } from "../calibrate/specimen.js";
import { type AdviceLine, adviceLine } from "./advice-line.js";
import { simultaneous } from "./binomial-bounds.js";
import { type SourceLine, sourceLine } from "./source-line.js";
import type { WorldTried } from "./try-world.js";
import type { World } from "./worlds.js";

/** What a study found in one world. */
export interface WorldFigures {
  readonly world: string;
  readonly title: string;
  /** Whether coverage is a target here: not where readings are mistaken more grossly than any model tells. */
  readonly heldToCoverage: boolean;
  readonly dataSets: number;
  readonly failed: WorldTried["failed"];
  /** Share of all readings that said "nothing goes in". */
  readonly closed: number;
  readonly lines: readonly SourceLine[];
  readonly advice: AdviceLine | null;
}

const CONFIDENCE = 0.95;

/** Figures of all worlds; the bounds of the coverage hold for all sources of all worlds but the control together. */
export function studyFigures(worlds: readonly { world: World; done: WorldTried }[]): WorldFigures[] {
  const lines = worlds
    .filter(({ world }) => !world.control)
    .reduce((sum, { world }) => sum + sourcesOf(world.job).length, 0);
  const confidence = simultaneous(CONFIDENCE, Math.max(lines, 1));
  return worlds.map(({ world, done: { tried, failed } }) => {
    const readings = tried.reduce((sum, one) => sum + one.readings, 0);
    const judged = tried.flatMap(({ advice }) => advice ?? []);
    return {
      ...{ world: world.name, title: world.job.title, dataSets: tried.length, failed },
      heldToCoverage: world.heldToCoverage,
      closed: tried.reduce((sum, one) => sum + one.closed, 0) / readings,
      lines: sourcesOf(world.job).map(({ name, angular }, i) =>
        sourceLine(
          tried.map(({ sources }) => sources[i]!),
          { world: world.name, source: name, angular, confidence },
        ),
      ),
      advice: judged.length > 0 ? adviceLine(world.name, judged, world.job.costs.adjusting) : null,
    };
  });
}

/** Targets missed, in words; empty when all are met. A control whose coverage holds is a miss. */
export function missesOf(figures: readonly WorldFigures[]): string[] {
  return figures.flatMap(({ world, heldToCoverage, lines, advice, failed }) => {
    if (world === "control") {
      const caught = lines.some(({ bounds }) => bounds[1] < 0.93);
      return caught ? [] : ["control: closed joints taken as exact zeros went unnoticed"];
    }
    return [
      ...failed.map(({ number, fault }) => `${world}: data set ${number} was not fitted: ${fault}`),
      ...lines.flatMap(({ source, met }) =>
        Object.entries(met).flatMap(([what, verdict]) =>
          verdict === "missed" && (what !== "coverage" || heldToCoverage)
            ? [`${world}, ${source}: ${what}`]
            : [],
        ),
      ),
      ...(advice?.met === "missed" ? [`${world}: wrong adjusts`] : []),
    ];
  });
}
