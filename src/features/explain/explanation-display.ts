import { UserError } from "../../core/errors.js";
import { addScaled, at, columnOf } from "../../core/numeric/dense.js";
import { errorsFrom } from "../../inference/likelihood/specimen.js";
import { sameSource } from "../../model/source-id.js";
import { priorMeans } from "../../model/sources.js";
import { predictAsMade } from "../../physics/fitting/fit-lengths.js";
import { type CellDrawingInput, cellDrawing, commonMagnification } from "../../render/cell/cell-drawing.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import { evidenceText } from "../../render/evidence-text.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import type { JobPicture } from "../../render/pictures.js";
import { smallUnit } from "../../render/shop-numbers.js";
import { capitalised, sourceText } from "../../render/source-text.js";
import type { Drawing } from "../../render/svg.js";
import { resultTable } from "../../render/text.js";
import { printedChance, sourceSentence, storyText } from "./cause-sentences.js";
import { causeText, sameCause } from "./error-shares.js";
import { type Explanation, explainCells, type JointExplained } from "./explain-cells.js";
import { answerLines, mainCauses } from "./explanation-text.js";
import { nextCheck } from "./next-check.js";
import { WORTH_A_WORD } from "./pattern-book.js";
import type { Chance } from "./source-causes.js";

/** Contributions to the gap at one joint, the largest first; `most` is the maximum number of rows. */
export function contributionsTable({ job }: Explanation, joint: JointExplained, most = 6): HtmlOutput {
  const unit = smallUnit(job.units);
  const signed = true;
  return resultTable(joint.contributions.slice(0, most), [
    { heading: "cause", cell: ({ id }) => causeText(id) },
    { heading: "adds", cell: ({ mean }) => ({ value: mean, unit, signed }) },
    { heading: "95 % interval", cell: ({ low, high }) => ({ value: low, to: high, unit, signed }) },
  ]);
}

/** How far off each source is, and whether that matters. */
export function causesTable({ job, sources }: Explanation): HtmlOutput {
  return resultTable(sources, [
    { heading: "source", cell: ({ id }) => sourceText(id) },
    {
      heading: "95 % interval",
      cell: ({ interval: [value, to], angular }) => ({
        value,
        to,
        unit: angular ? "deg" : smallUnit(job.units),
        signed: true,
      }),
    },
    { heading: "chance that it matters", cell: ({ chance }) => printedChance(chance) ?? "not known to 2 %" },
  ]);
}

/** The stories that fit the readings of cells alone, the most probable first; `most` is the maximum number of rows. */
export function storiesTable({ job, stories }: Explanation, most = 5): HtmlOutput {
  return resultTable((stories ?? []).slice(0, most), [
    { heading: "story", cell: (story) => storyText(story, job) },
    { heading: "chance", cell: ({ chance }) => printedChance(chance) ?? roughChance(chance) },
  ]);
}

/** A probability, with its sampling error if that is too large to omit. */
const roughChance = ({ value, samplingError }: Chance): string =>
  `about ${Math.round(100 * value)} % (± ${Math.round(100 * samplingError)} %)`;

/** The answer in words: what opens the joints, what would close them, what to read next. */
export const answerSentences = (explanation: Explanation): string =>
  [evidenceText(explanation.posterior), ...answerLines(explanation, nextCheck(explanation))].join("\n\n");

const MOST_DRAWN = 3;

/** As in the pattern book, anything that narrow strips of shim stock can detect counts as visible, whatever press the job allows. */
const limitsOf = ({ limits: { gap, snug } }: Explanation["job"]) => ({
  gapLimit: gap,
  snugLimit: Math.min(WORTH_A_WORD, snug),
});

/** Size and scale of the drawing of a cause. */
export interface CauseDrawingOptions {
  /** Width of the drawing, pixels. */
  readonly width?: number;
  /** Magnification of movements, a ratio, 1 for life size; chosen automatically by default. */
  readonly magnification?: number;
}

/** Sources that are off, rad or mm, and the caption for them. */
interface Drawn {
  readonly title: string;
  readonly off: readonly { readonly id: Explanation["sources"][number]["id"]; readonly size: number }[];
}

/** The sources with known sign and the largest effect on the gaps, one by one; or the most probable stories. */
function drawn(explanation: Explanation): Drawn[] {
  const { stories, sources, job } = explanation;
  if (stories)
    return stories
      .filter(({ causes }) => causes.length > 0)
      .slice(0, MOST_DRAWN)
      .map((story) => ({ off: story.causes, title: `If this is the story: ${storyText(story, job)}` }));
  return mainCauses(explanation)
    .flatMap(({ id }) => sources.filter((source) => source.sign !== 0 && sameCause(source.id, id)))
    .slice(0, MOST_DRAWN)
    .map((source) => ({
      off: [{ id: source.id, size: source.estimate }],
      title: `${capitalised(sourceSentence(source, job))}: what this does alone`,
    }));
}

function cellIf({ job, specimen, posterior: { sources } }: Explanation, { off }: Drawn): CellDrawingInput {
  const errors = errorsFrom(specimen, priorMeans(sources)).fill(0);
  for (const { id, size } of off) {
    const column = sources.findIndex((source) => sameSource(source.id, id));
    if (column >= 0) addScaled(errors, columnOf(specimen.matrix, column, sources.length), size);
  }
  return { cell: specimen.cell, ...predictAsMade(job, specimen.cell, errors, false) };
}

/** The cell with only one of its main causes and no scatter, or under one of the most probable stories. All are drawn at the same magnification, so that they can be compared. */
export function causeDrawings(explanation: Explanation, options: CauseDrawingOptions = {}): Drawing[] {
  const { job } = explanation;
  const list = drawn(explanation);
  const cells = list.map((one) => cellIf(explanation, one));
  const magnification = commonMagnification(cells, limitsOf(job));
  return list.map(({ title }, k) =>
    cellDrawing(at(cells, k), {
      magnification,
      ...options,
      ...limitsOf(job),
      unit: smallUnit(job.units),
      title,
    }),
  );
}

const offered = (which: string, place: number): JobPicture => ({
  name: `cause-${place + 1}`,
  shows: `the cell if the ${which} of the causes of its gaps is at work alone`,
  needs: "readings",
  async draw({ job, readings, seed }) {
    const drawings = causeDrawings(explainCells(job, readings, { seed }));
    const spec = drawings[place];
    if (spec) return drawChart(spec);
    throw new UserError(
      "picture",
      `There is no picture “cause-${place + 1}”: the readings of this job's cells leave ${drawings.length} causes to draw.`,
    );
  },
});

/** Pictures of an explanation. */
export const CAUSE_PICTURES: readonly JobPicture[] = ["largest", "second", "third"].map(offered);
