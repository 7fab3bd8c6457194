import { existsSync, writeFileSync } from "node:fs";
import { extname, join } from "node:path";
import { svgToPng } from "../charts/render/svg-to-png.js";
import { loadJob } from "../job/load-job.js";
import { loadTrials } from "../job/load-trials.js";
import { namedPicture, pictureNames } from "../report/pictures.js";
import { resizedSvg } from "../report/resized-svg.js";
import { textTable } from "../report/text/text-table.js";
import { CliError } from "./fail.js";

export interface DrawFlags {
  readonly job: string;
  readonly out?: string;
  readonly width?: number;
  readonly seed: number;
}

/** Pixels across a PNG where no width is given: sharp on paper at 90 mm. */
const PNG_WIDTH = 1080;

/** `sukima draw NAME --job FOLDER --out FILE`: a chart or drawing as SVG or PNG; without a name, what there is. */
export async function drawCommand(
  name: string | undefined,
  flags: DrawFlags,
  onProgress: (step: string) => void,
): Promise<string> {
  const job = loadJob(flags.job);
  if (name === undefined)
    return textTable(
      ["name", "shows"],
      pictureNames(job).map((one) => [one.name, one.shows]),
    );
  const { out } = flags;
  const kind = extname(out ?? "").toLowerCase();
  if (out === undefined || (kind !== ".svg" && kind !== ".png"))
    throw new CliError(
      `There is nowhere to draw to: --out names a file ending in .svg or .png; got ${out === undefined ? "nothing" : `“${out}”`}. Write for example --out ${name}.svg`,
    );
  const trials = join(flags.job, "trials.csv");
  const readings = existsSync(trials) ? loadTrials(trials, job) : [];
  const { svg, text } = await namedPicture(name, job, readings, { seed: flags.seed, onProgress });
  if (kind === ".png") writeFileSync(out, await svgToPng(svg, { width: flags.width ?? PNG_WIDTH }));
  else writeFileSync(out, flags.width === undefined ? svg : resizedSvg(svg, flags.width));
  return `Drawn: ${out}\n${text}`;
}
