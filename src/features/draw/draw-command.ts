import { extname } from "node:path";
import { UsageError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { svgToPng } from "../../render/charts/draw-chart.js";
import { resizedSvg } from "../../render/svg.js";
import { textTable } from "../../render/text.js";
import { type Gallery, jobGallery, notebookGallery, tableGallery } from "./galleries.js";

export interface DrawFlags {
  /** Exactly one of these three. */
  readonly job?: string;
  readonly notebook?: string;
  readonly table?: string;
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
  const gallery = await galleryOf(name, flags, onProgress);
  if (name === undefined)
    return textTable(
      ["name", "shows"],
      gallery.pictures.map((one) => [one.name, one.shows]),
    );
  const { out } = flags;
  const kind = extname(out ?? "").toLowerCase();
  if (out === undefined || (kind !== ".svg" && kind !== ".png"))
    throw new UsageError(
      `There is nowhere to draw to: --out names a file ending in .svg or .png; got ${out === undefined ? "nothing" : `“${out}”`}. Write for example --out ${name}.svg`,
    );
  const { svg, text } = await gallery.draw(name);
  if (kind === ".png") writeFile(out, await svgToPng(svg, { width: flags.width ?? PNG_WIDTH }));
  else writeFile(out, flags.width === undefined ? svg : resizedSvg(svg, flags.width));
  return `Drawn: ${out}\n${text}`;
}

async function galleryOf(
  name: string | undefined,
  { job, notebook, table, seed }: DrawFlags,
  onProgress: (step: string) => void,
): Promise<Gallery> {
  const given = [job, notebook, table].filter((from) => from !== undefined);
  if (given.length !== 1)
    throw new UsageError(
      `It is not clear what to draw: name one of --job, --notebook or --table; got ${given.length === 0 ? "none" : given.length}. Write for example --job data/alcove-screen`,
    );
  if (job !== undefined) return jobGallery(job, seed, onProgress);
  return notebook !== undefined ? notebookGallery(notebook) : tableGallery(name, table!);
}
