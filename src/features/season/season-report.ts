import { given } from "../../cli/arguments.js";
import { jobPosterior } from "../../inference/job-posterior.js";
import { loadJob } from "../../io/job/load-job.js";
import type { StripWood } from "../../model/job/season.js";
import { LINEAR_MOISTURE_RANGE } from "../../model/wood/dimensional-change.js";
import { answerText } from "../../render/cautions.js";
import type { ChartOptions, ChartSpec } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { type StateValue, statesChart } from "../../render/charts/states-chart.js";
import { evidenceJson, evidenceText } from "../../render/evidence-text.js";
import type { HtmlOutput } from "../../render/notebook/display.js";
import { chartSvg, type JobPicture, requirePictureFile, writePicture } from "../../render/pictures.js";
import { TAKEN_AS_CUT } from "../../render/shared-text.js";
import { angleText, chanceText, shown, smallLength, smallUnit } from "../../render/shop-numbers.js";
import { type Figure, resultTable, wrapped } from "../../render/text.js";
import { type EvidenceFlags, folderPosterior } from "../evidence/index.js";
import { lapTightening } from "./movement-draws.js";
import { predictSeason, type Ranged, type SeasonYear } from "./season-year.js";

export interface SeasonFlags extends EvidenceFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  readonly cells?: number;
  readonly out?: string;
}

/** `sukima season JOBFOLDER`: moisture, thickness and gaps through the year. */
export async function seasonCommand(
  folder: string,
  flags: SeasonFlags,
  onProgress: (step: string) => void,
): Promise<string> {
  const { json, cells, seed, out } = flags;
  if (out !== undefined) requirePictureFile(out);
  const job = loadJob(folder);
  if (job.season) onProgress(`following the cells through ${job.season.year.length} states of the year`);
  const posterior = folderPosterior(folder, job, flags, onProgress);
  const year = predictSeason(job, { posterior, ...given({ cells, seed }) });
  const drawn = out === undefined ? "" : `\n${await writePicture(await chartSvg(seasonChart(year)), out)}`;
  if (json) return JSON.stringify(seasonJson(year), null, 1);
  return `${seasonText(year, flags.details ?? false)}${drawn}`;
}

/** The year for reading: what the wood does, when cells open, what to do about it, and how far to trust it. */
export function seasonText(year: SeasonYear, details = true): string {
  const { job } = year;
  const answer = [
    evidenceText(year.posterior),
    `THROUGH THE YEAR: ${job.title}`,
    ...seasonSentences(year).map((line) => wrapped(line)),
  ];
  const rest = [
    seasonTable(year).text ?? "",
    wrapped(
      "“Alone”: a cell cut without any error, so that only the season shows. “Cells without a wide gap”: of the cells to come, with everything that is not known for sure.",
    ),
    "",
    ...seasonLimits(year).map((line) => wrapped(line)),
  ];
  return answerText({ answer, details: rest, wanted: details });
}

/**
 * What comes of it, in sentences.
 *
 * @example
 * seasonSentences(predictSeason(job, { cells: 200 })).length > 0 // true
 */
export function seasonSentences(year: SeasonYear): string[] {
  const { job, season, shopMoisture, worst, tightest, inShop, cutDriest } = year;
  const size = (mm: number): string => smallLength(mm, job.units);
  const { gapAlone } = worst;
  const known = year.posterior.basis.readings > 0 ? "the readings leave them" : "the job states";
  const lap = lapTightening(job.arrangement.walls);
  const advice =
    cutDriest.closed.value > worst.closed.value + 0.005
      ? ` If the wood is brought to ${cutDriest.moisture.toFixed(1)} % before it is cut (the driest state, so that it only swells afterwards), ${chanceText(cutDriest.closed.value)} have no gap over the limit in the worst state.`
      : " Drier wood at the time of cutting would not help.";
  return [
    `${woodsText(season)} Cut at ${shopMoisture.toFixed(1)} % of moisture.`,
    `Widest in ${worst.climate.name}: at ${worst.moisture.toFixed(1)} % a strip is ${changeText(worst.infill.expected, size, "thicker", "thinner")} than in the shop, and a cell cut without any error opens by ${size(gapAlone.expected)} (95 % of screens: ${size(gapAlone.low)} to ${size(gapAlone.high)}; limit ${size(job.limits.gap)}).`,
    `Of the cells to come, ${chanceText(inShop.closed.value)} leave the shop without a gap over the limit, and ${chanceText(worst.closed.value)} have none in ${worst.climate.name} (jigs, stops and cuts as uncertain as ${known}).${advice}`,
    `Tightest in ${tightest.climate.name}: at ${tightest.moisture.toFixed(1)} % a strip is ${changeText(tightest.infill.expected, size, "thicker", "thinner")}, joints are pressed by up to ${size(tightest.pressAlone.expected)}, and each lap holds a strip ${changeText(lap * tightest.grid.expected, size, "wider", "narrower")} than ${lap > 0.999 ? "when its slot was cut: a slot does not grow along its own grain" : "its slot: cut at an angle, a slot grows by a part of what the strip does"}.`,
    ...(job.lengths === "fitted" ? [TAKEN_AS_CUT] : []),
  ];
}

/** How far to trust it. */
export function seasonLimits({ season, states, cells, seed }: SeasonYear): string[] {
  const [low, high] = LINEAR_MOISTURE_RANGE;
  const beyond = states.filter(({ inRange }) => !inRange).map(({ climate }) => climate.name);
  return [
    ...(beyond.length > 0
      ? [
          `* ${beyond.join(", ")}: this moisture or the shop's lies outside ${low} to ${high} %, where the coefficients are good; the movement there is from the shrinkage and less sure.`,
        ]
      : []),
    `A board's movement is taken as known to ${Math.round(100 * season.coefficientTrustedTo)} %, its rings to ${angleText(season.ringsTrustedTo)}, each moisture to ${season.moistureTrustedTo} % (standard deviations; our own figures unless the job states them). ${cells.toLocaleString("en")} cells, seed ${seed}.`,
    "The wood is taken to have come to the air of each state. Real wood lags behind, a thin bare strip by days, a thick or finished one by weeks (general experience, no source), so the real swing is smaller. Movement along the grain, cupping and finish are left out.",
  ];
}

function woodsText({ infill, grid }: SeasonYear["season"]): string {
  const [one, other] = [woodText(infill), woodText(grid)];
  return one === other ? `Pieces and grid: ${one}.` : `Pieces: ${one}. Grid: ${other}.`;
}

const changeText = (mm: number, size: (mm: number) => string, more: string, less: string): string =>
  `${size(Math.abs(mm))} ${mm < 0 ? less : more}`;

const woodText = ({ wood, rings }: StripWood): string => `${wood.name}, ${ringsText(rings)} (${wood.origin})`;

const ringsText = (rings: number): string => {
  if (rings < 1e-9) return "radial";
  return rings > Math.PI / 2 - 1e-9
    ? "tangential"
    : `rings ${angleText(rings).replace(/\.?0+°/, "°")} from radial`;
};

/** One row a state of the year. */
export function seasonTable({ job, states }: SeasonYear): HtmlOutput {
  const unit = smallUnit(job.units);
  const range = ({ low, high }: Ranged, signed = false): Figure => ({ value: low, to: high, unit, signed });
  return resultTable(states, [
    { heading: "when", cell: ({ climate }) => climate.name },
    {
      heading: "moisture (%)",
      cell: ({ moisture, inRange }) => `${moisture.toFixed(1)}${inRange ? "" : " *"}`,
    },
    {
      heading: "thickness",
      cell: ({ infill }) => ({ value: infill.expected, unit, signed: true }),
    },
    { heading: "its 95 %", cell: ({ infill }) => range(infill, true) },
    { heading: "gap alone", cell: ({ gapAlone }) => ({ value: gapAlone.expected, unit }) },
    { heading: "its 95 %", cell: ({ gapAlone }) => range(gapAlone) },
    { heading: "press alone", cell: ({ pressAlone }) => ({ value: pressAlone.expected, unit }) },
    {
      heading: "cells without a wide gap",
      cell: ({ closed }) => ({ value: closed.value, unit: "%" }),
    },
  ]);
}

/** A year as plain data for other programs: lengths in mm, moisture and humidity in per cent, temperature in °C. */
export function seasonJson({
  posterior,
  season,
  shopMoisture,
  inShop,
  states,
  worst,
  tightest,
  cutDriest,
  cells,
  seed,
}: SeasonYear): object {
  const wood = ({
    wood: { name, radial, tangential, startsAt, origin },
    rings,
  }: typeof season.infill): object => ({
    name,
    radial,
    tangential,
    startsAt,
    origin,
    ringsDegrees: (rings * 180) / Math.PI,
  });
  return {
    ...evidenceJson(posterior),
    cells,
    seed,
    shopMoisture,
    infill: wood(season.infill),
    grid: wood(season.grid),
    inShop,
    states: states.map(({ climate, ...rest }) => ({
      name: climate.name,
      ...(climate.air && { temperature: climate.air.temperature, humidity: 100 * climate.air.humidity }),
      ...rest,
    })),
    worst: worst.climate.name,
    tightest: tightest.climate.name,
    cutDriest,
  };
}

/** Moisture, thickness and the gap that the season alone opens, month by month. */
export function seasonChart(year: SeasonYear, options: { readonly width?: number } = {}): ChartSpec {
  const { job, states, shopMoisture } = year;
  const unit = smallUnit(job.units);
  const value = ({ expected, low, high }: Ranged): StateValue => ({
    value: shown(expected, unit),
    low: shown(low, unit),
    high: shown(high, unit),
  });
  const [low, high] = LINEAR_MOISTURE_RANGE;
  return statesChart(
    states.map(({ climate }) => climate.name),
    [
      {
        title: "Moisture the wood comes to (%)",
        values: states.map(({ moisture }) => ({ value: moisture })),
        level: {
          value: shopMoisture,
          label: `moisture in the shop, ${shopMoisture.toFixed(1)} %`,
          kind: "mark",
        },
        good: { low, high, label: `${low} to ${high} %: where the rule is good` },
      },
      {
        title: `Change of a strip’s thickness since the shop (${unit})`,
        values: states.map(({ infill }) => value(infill)),
      },
      {
        title: `Widest gap of a cell cut without error (${unit})`,
        values: states.map(({ gapAlone }) => value(gapAlone)),
        level: {
          value: shown(job.limits.gap, unit),
          label: `gap limit, ${smallLength(job.limits.gap, job.units)}`,
          kind: "limit",
        },
      },
    ],
    {
      ...options,
      title: "The screen through the year",
      names: { line: "expected", band: "95 % of screens" },
    },
  );
}

/**
 * Drawn for a notebook or a file.
 *
 * @example
 * (await drawSeason(predictSeason(job, { cells: 200 }))).svg.startsWith("<svg") // true
 */
export function drawSeason(year: SeasonYear, options: Pick<ChartOptions, "width"> = {}): Promise<Chart> {
  return drawChart(seasonChart(year, options));
}

/** The pictures of a year. */
export const SEASON_PICTURES: readonly JobPicture[] = [
  {
    name: "year",
    shows: "moisture, thickness and gap through the year",
    needs: "season",
    draw: ({ job, readings, seed, onProgress, once }) => {
      const posterior = once("posterior", () => jobPosterior(job, readings, { seed, onProgress }));
      return drawSeason(predictSeason(job, { posterior, seed }));
    },
  },
];
