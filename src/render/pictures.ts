import { extname } from "node:path";
import { UserError } from "../core/errors.js";
import { writeFile, writeFiles } from "../core/files.js";
import type { Job } from "../model/job/job.js";
import type { Reading } from "../model/readings.js";
import type { ChartSpec } from "./charts/chart-spec.js";
import { type Chart, drawChart, svgToPng } from "./charts/draw-chart.js";
import { type Drawing, resizedSvg } from "./svg.js";

// What a picture that features offer is, and writing one as SVG or PNG; features/draw/pictures.ts lists them all and finds one by name.

/** What a picture of a job is drawn from. */
export interface PictureInput {
  readonly job: Job;
  /** None where the job has no table of trials. */
  readonly readings: readonly Reading[];
  /** Seed of every draw, whole, ≥ 0. */
  readonly seed: number;
  readonly onProgress: (step: string) => void;
  /** Work that several pictures of a job rest on, such as its fit: done once under each name. */
  readonly once: Once;
}

/** Returns what `work` gave when it was first called under this name. */
export type Once = <T>(name: string, work: () => T) => T;

/** A memory for the work that pictures share. */
export function remembering(): Once {
  const done = new Map<string, unknown>();
  return <T>(name: string, work: () => T): T => {
    if (!done.has(name)) done.set(name, work());
    return done.get(name) as T;
  };
}

/** What a job must have for a picture of it. */
export type PictureNeed = "job" | "readings" | "panel" | "season";

/** A picture that a feature offers to `sukima draw`. */
export interface JobPicture {
  readonly name: string;
  readonly shows: string;
  readonly needs: PictureNeed;
  /** @throws UserError (code "picture") when the job leaves nothing to draw. */
  readonly draw: (input: PictureInput) => Promise<Chart>;
}

/** The pictures that a feature offers of a table of measurements: one for each instrument or kind of piece. */
export interface TablePictures {
  /** How their names begin; all of the name where the table has one picture. */
  readonly name: string;
  readonly shows: string;
  readonly of: (file: string) => readonly { readonly of: string; readonly draw: () => Promise<Chart> }[];
}

/** Pixels across a PNG where no width is given: sharp on paper at 90 mm. */
const PNG_WIDTH = 1080;

const kindOf = (file: string): string => extname(file).toLowerCase();

/**
 * Checks, before anything is worked out, that a picture can be written to a file.
 *
 * @throws UserError (code "usage") for a file that ends neither in .svg nor in .png.
 */
export function requirePictureFile(file: string): void {
  if (kindOf(file) !== ".svg" && kindOf(file) !== ".png")
    throw new UserError(
      "usage",
      `The picture cannot be written: --out must name a file ending in .svg or .png; got “${file}”. Write for example --out drawing.svg`,
    );
}

/** Writes a drawing as SVG or PNG, as its file's name ends; `width` in px. Says what to print of it. */
export async function writePicture(svg: string, file: string, width?: number): Promise<string> {
  requirePictureFile(file);
  if (kindOf(file) === ".png") writeFile(file, await svgToPng(svg, { width: width ?? PNG_WIDTH }));
  else writeFile(file, width === undefined ? svg : resizedSvg(svg, width));
  return `Drawn: ${file}`;
}

/** A chart or drawing of this project as SVG, with its title and description. */
export const chartSvg = async (spec: ChartSpec | Drawing): Promise<string> => (await drawChart(spec)).svg;

/** Draws charts into a folder under their names, all or none; says what to print of each. Nothing without a folder. */
export async function writeCharts(
  folder: string | undefined,
  charts: () => Iterable<readonly [name: string, spec: ChartSpec | Drawing]>,
  { png = false, width = 0 }: { readonly png?: boolean; readonly width?: number } = {},
): Promise<string[]> {
  if (folder === undefined) return [];
  const files: Record<string, string | Uint8Array> = {};
  for (const [name, spec] of charts()) {
    const svg = await chartSvg(spec);
    if (png) files[`${name}.png`] = await svgToPng(svg, { width: Math.max(PNG_WIDTH, 2 * width) });
    else files[`${name}.svg`] = svg;
  }
  if (Object.keys(files).length === 0) return [];
  return Object.values(writeFiles(folder, files)).map((file) => `Drawn: ${file}`);
}
