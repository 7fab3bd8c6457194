import { given } from "../../cli/arguments.js";
import { UserError } from "../../core/errors.js";
import { DEGREE } from "../../core/geometry.js";
import { formatAngle, formatLength } from "../../core/quantity/index.js";
import { loadJob } from "../../io/job/load-job.js";
import { openingShape } from "../../model/cell/opening-shape.js";
import { answerText } from "../../render/cautions.js";
import type { ChartSpec } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { statesChart } from "../../render/charts/states-chart.js";
import { evidenceJson, evidenceText } from "../../render/evidence-text.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import { chartSvg, requirePictureFile, writePicture } from "../../render/pictures.js";
import { TAKEN_AS_CUT } from "../../render/shared-text.js";
import { chanceText, percentText, shareText, smallLength } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { resultTable, textTable, wrapped } from "../../render/text.js";
import { type EvidenceFlags, folderPosterior } from "../evidence/index.js";
import {
  type JobTolerances,
  type JobTolerancesOptions,
  planTolerances,
  TOLERANCE_CELLS,
  type ToleranceLine,
} from "./job-tolerances.js";

export interface ToleranceFlags extends EvidenceFlags {
  readonly chance?: number;
  readonly curve?: boolean;
  readonly json?: boolean;
  readonly details?: boolean;
  readonly out?: string;
}

/** `sukima tolerances JOBFOLDER`: how good each ramp, stop, thickness and lap must be. */
export async function tolerancesCommand(
  folder: string,
  flags: ToleranceFlags,
  onProgress: (step: string) => void,
  cells?: JobTolerancesOptions["cells"],
): Promise<string> {
  const { chance, curve, json, seed, out } = flags;
  if (out !== undefined) requirePictureFile(out);
  const job = loadJob(folder);
  const posterior = folderPosterior(folder, job, flags, onProgress);
  const tolerances = await planTolerances(job, {
    posterior,
    onProgress,
    curve: curve ?? true,
    ...given({ chance, seed, cells }),
  });
  let drawn = "";
  if (out !== undefined) {
    const spec = toleranceChart(tolerances);
    if (spec === null)
      throw new UserError(
        "usage",
        "There is no trade-off to draw: leave out --no-curve, and see that some chance is within reach.",
      );
    drawn = `\n${await writePicture(await chartSvg(spec), out)}`;
  }
  if (json) return JSON.stringify(toleranceJson(tolerances), null, 1);
  return `${toleranceReport(tolerances, flags.details ?? false)}${drawn}`;
}

/** Tolerances worked backwards, for reading. */
export function toleranceReport(tolerances: JobTolerances, details = true): string {
  const { job, curve } = tolerances;
  const [first = "", ...others] = toleranceSentences(tolerances);
  const answer = [
    evidenceText(tolerances.posterior),
    `HOW GOOD MUST IT BE: ${job.title}`,
    wrapped(first),
    wrapped(finestText(tolerances)),
  ];
  const rest = [
    ...others.map((line) => wrapped(line)),
    "",
    toleranceTable(tolerances).text ?? "",
    "",
    ...(curve.length > 0
      ? [
          textTable(
            ["cells that close", "least cost"],
            curve.map(({ chance, cost }) => [
              `${Math.round(100 * chance)} %`,
              cost === null ? "out of reach" : cost.toFixed(1),
            ]),
            [0, 1],
          ),
          "",
        ]
      : []),
    ...toleranceNotes(tolerances).map((line) => wrapped(line)),
  ];
  return answerText({ answer, details: rest, wanted: details });
}

/** Where most is gained: what has to be finer by the largest factor. */
function finestText({ job, lines, today, goal, posterior }: JobTolerances): string {
  const finer = lines.filter(({ factor }) => factor < 0.99).toSorted((a, b) => a.factor - b.factor);
  if (finer.length === 0)
    return today.high < goal.chance && posterior.basis.readings > 0
      ? "Nothing has to be finer than it is today. What keeps cells from closing is where the jigs and stops stand now: sukima calibrate says what to move."
      : "Nothing has to be finer than it is today.";
  const named = finer
    .slice(0, 4)
    .map(
      (line) =>
        `${sourceText(line.id)} to ± ${partsText(line, "wanted", job)} (today ± ${partsText(line, "today", job)})`,
    );
  return `Make finer first: ${named.join("; ")}.`;
}

function partsText(
  { parts }: ToleranceLine,
  which: "today" | "wanted",
  { units }: JobTolerances["job"],
): string {
  return parts
    .map((part) =>
      part.angular ? formatAngle(part[which], { digits: 3 }) : toleranceText(part[which], units),
    )
    .join(", ");
}

/** What comes of it, in sentences. */
function toleranceSentences(tolerances: JobTolerances): string[] {
  const { job, goal, status, cost, costToday, price, proof, proofExact, today, most, fixed } = tolerances;
  const size = (mm: number): string => smallLength(mm, job.units);
  const wanted = shareText(goal.chance);
  const limits = `no gap over ${size(job.limits.gap)}, no press over ${size(job.limits.snug)}`;
  const first =
    status === "out of reach"
      ? `Out of reach: with every tolerance at the finest allowed (${goal.finest} of today's) only ${shareText(most)} of the cells close (${limits}); ${wanted} were wanted. What is left comes from sources that stay as they are: ${remedy(fixed)}, or allow a wider gap.`
      : `For ${wanted} of the cells to close (${limits}), the cheapest tolerances found cost ${cost.toFixed(1)}; today's cost ${costToday.toFixed(1)}. As things are, ${percentText(today)} close.`;
  return [
    first,
    ...(status === "not converged" ? ["The search did not converge: take these as a first guess."] : []),
    `Proved on cells drawn anew: ${percentText(proof)} close${proofExact ? `; in exact order, on fewer cells, ${percentText(proofExact)}` : ""} (± is 95 %).`,
    ...(status === "found" && price > 0
      ? [`From there, one more cell in a hundred costs ${price.toFixed(2)}.`]
      : []),
    ...(job.lengths === "fitted" ? [TAKEN_AS_CUT] : []),
  ];
}

/** What helps against sources whose tolerance no one can buy. */
const remedy = (fixed: JobTolerances["fixed"]): string =>
  fixed.some(({ kind }) => kind === "lean")
    ? "square the ramps that lean to their beds (sukima calibrate tells how far they lean), cut more evenly"
    : "cut more evenly";

/** What it rests on. */
function toleranceNotes({ job, posterior, goal, fixed, seed }: JobTolerances): string[] {
  const { ramps, stops, thickness, grid, cuts } = goal.costs;
  const threeWay = openingShape(job.arrangement.walls)?.kind === "triangular";
  return [
    "A tolerance is a standard deviation, as trusted-to is in the job: two times in three the thing is this close, nineteen times in twenty within twice as much.",
    ...(posterior.basis.readings > 0
      ? [
          "“Today” is how closely the readings leave each known. An error that is known can be set right, so that the tolerances are about what is right on average; how many cells close as things are counts the known errors too.",
        ]
      : []),
    `Cost: at today's tolerance a ramp costs ${ramps}, a stop ${stops}, the batch's thickness ${thickness}, the grid ${grid}${cuts === null ? "" : `, a scatter from cut to cut ${cuts}`}; half the tolerance costs twice as much. ${job.toleranceGoal ? "The figures are the job's where it states them, else our own; the rule is our own, no source." : "Figures and rule are our own, no source."} Costs are in no unit: only what one tolerance costs against another matters.`,
    `The grid's walls: a lap cut against a stop may be off by ${threeWay ? "√3 times the offset, for the laps of two crossings hold a wall of a three-way grid" : "the offset"}; where each lap is indexed from the one before, errors add up from strip to strip, and the panel tells what that does (sukima panel).`,
    ...(fixed.length > 0 ? [`As the job states them stay: ${fixed.map(sourceText).join(", ")}.`] : []),
    `Found on ${TOLERANCE_CELLS.search.toLocaleString("en")} cells in first order, set right on ${TOLERANCE_CELLS.setting.toLocaleString("en")}, proved on ${TOLERANCE_CELLS.proof.toLocaleString("en")} others; the trade-off on ${TOLERANCE_CELLS.curve.toLocaleString("en")} cells, good to some hundredths of itself; seed ${seed}. Near the best, cost changes little: a tolerance may be a tenth finer and another a tenth looser at nearly the same price.`,
  ];
}

/** Every tolerance as it is and as it should be. */
export function toleranceTable({ job, posterior, lines }: JobTolerances): HtmlOutput {
  const text = (line: ToleranceLine, which: "today" | "wanted"): string => partsText(line, which, job);
  return resultTable(lines, [
    { heading: "error source", cell: ({ id }) => sourceText(id) },
    {
      heading: posterior.basis.readings > 0 ? "known to today" : "trusted to today",
      cell: (line) => text(line, "today"),
    },
    { heading: "wanted", cell: (line) => text(line, "wanted") },
    { heading: "finer by", cell: ({ factor }) => ({ value: 1 / factor, unit: "none", digits: 2 }) },
    { heading: "cost today", cell: ({ costToday }) => ({ value: costToday, unit: "none", digits: 2 }) },
    { heading: "cost", cell: ({ cost }) => ({ value: cost, unit: "none", digits: 2 }) },
    ...(lines.some(({ bound }) => bound !== null)
      ? [
          {
            heading: "bound",
            cell: ({ bound }: ToleranceLine) => (bound === null ? "" : `the ${bound} allowed`),
          },
        ]
      : []),
  ]);
}

/** A standard deviation of a length: mm to the thousandth, thou to the hundredth. */
const toleranceText = (mm: number, units: "mm" | "in"): string =>
  units === "mm"
    ? formatLength(mm, { unit: "mm", digits: 3 })
    : formatLength(mm, { unit: "in", style: "thou", digits: 2 });

/** Tolerances as plain data for other programs: standard deviations in mm and degrees. */
export function toleranceJson({ job, posterior, lines, fixed, ...rest }: JobTolerances): object {
  return {
    ...evidenceJson(posterior),
    ...rest,
    limits: job.limits,
    fixed: fixed.map((id) => ({ name: sourceText(id), id })),
    lines: lines.map(({ id, parts, ...line }) => ({
      name: sourceText(id),
      id,
      ...line,
      parts: parts.map(({ angular, today, wanted }) => ({
        unit: angular ? "deg" : "mm",
        today: today / (angular ? DEGREE : 1),
        wanted: wanted / (angular ? DEGREE : 1),
      })),
    })),
  };
}

/** What more closing cells cost; `null` where no point of the trade-off is within reach. */
export function toleranceChart(
  { curve, costToday, today }: JobTolerances,
  options: { readonly width?: number } = {},
): ChartSpec | null {
  const points = curve.flatMap(({ chance, cost }) => (cost === null ? [] : [{ chance, cost }]));
  if (points.length < 2) return null;
  return statesChart(
    points.map(({ chance }) => `${Math.round(100 * chance)} %`),
    [
      {
        title: `Cost of the cheapest tolerances (no unit: half the tolerance costs twice as much)`,
        values: points.map(({ cost }) => ({ value: cost })),
        level: {
          value: costToday,
          label: `cost of today’s, ${chanceText(today.value)} close`,
          kind: "mark",
        },
      },
    ],
    {
      ...options,
      title: "What more closing cells cost",
      notes: ["Along the bottom the chance that a cell closes, in uneven steps."],
      names: { line: "least cost", band: "" },
    },
  );
}

/** Drawn for a notebook or a file. */
export async function drawTolerances(tolerances: JobTolerances): Promise<Chart | null> {
  const spec = toleranceChart(tolerances);
  return spec && drawChart(spec);
}
