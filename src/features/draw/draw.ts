import { existsSync } from "node:fs";
import { extname, join } from "node:path";
import { UsageError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { svgToPng } from "../../render/charts/draw-chart.js";
import { type MultilineText, type Notebook, readNotebook, textOf } from "../../render/notebook/notebook.js";
import { resizedSvg } from "../../render/svg.js";
import { textTable } from "../../render/text.js";
import { batchWatches, drawBatch, loadBatchTable } from "../batch/index.js";
import { drawGauge, gaugeStudies } from "../gauge/index.js";
import { drawPicture, PictureError, pictureNames } from "./pictures.js";

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

/** A drawn picture, and what it says for those who cannot see it. */
interface Drawn {
  readonly svg: string;
  readonly text: string;
}

/** Pictures that can be drawn, by name. */
export interface Gallery {
  readonly pictures: readonly { readonly name: string; readonly shows: string }[];
  draw(name: string): Promise<Drawn>;
}

/** Every picture of a job. */
export function jobGallery(folder: string, seed: number, onProgress: (step: string) => void): Gallery {
  const job = loadJob(folder);
  const trials = join(folder, "trials.csv");
  return {
    pictures: pictureNames(job),
    draw: (name) =>
      drawPicture(name, job, existsSync(trials) ? loadTrials(trials, job) : [], { seed, onProgress }),
  };
}

/** Every picture that an executed notebook shows. */
export async function notebookGallery(file: string): Promise<Gallery> {
  const pictures = notebookPictures(await readNotebook(file));
  if (pictures.length === 0)
    throw new PictureError(
      `${file} shows no picture; it must have been run. Write for example npx sukima notebook 04-why-does-it-gap --job FOLDER --out report, then --notebook report/04-why-does-it-gap.ipynb`,
    );
  return gallery(
    pictures.map(({ svg, text, ...named }) => ({ ...named, draw: async () => ({ svg, text }) })),
  );
}

/** The chart of a table of repeated readings (`gauge`), or of a batch (`batch`): one for each instrument or kind of piece. */
export function tableGallery(name: string | undefined, file: string): Gallery {
  if (name?.startsWith("gauge"))
    return gallery(
      gaugeStudies(file).map(({ instrument, study }) => ({
        ...{ name: named("gauge", instrument), shows: "why the readings differ" },
        draw: () => drawGauge(study),
      })),
    );
  if (name?.startsWith("batch"))
    return gallery(
      batchWatches(loadBatchTable(file)).map((watch) => ({
        ...{ name: named("batch", watch.piece), shows: "the batch piece by piece" },
        draw: () => drawBatch(watch),
      })),
    );
  throw new PictureError(
    `What --table is a table of is said by the picture's name: gauge (repeated readings) or batch (pieces in the order of cutting); got ${name === undefined ? "none" : `“${name}”`}. Write for example: sukima draw gauge --table readings.csv --out gauge.svg`,
  );
}

const named = (kind: string, of: string): string => (of === "" ? kind : `${kind}-${of}`);

function gallery(
  all: readonly { readonly name: string; readonly shows: string; readonly draw: () => Promise<Drawn> }[],
): Gallery {
  return {
    pictures: all,
    draw(name) {
      // The kind alone will do where there is but one of it.
      const found =
        all.find((one) => one.name === name) ??
        (all.length === 1 && all[0]!.name.startsWith(name) ? all[0] : undefined);
      if (found) return found.draw();
      throw new PictureError(
        `There is no picture “${name}”. There ${all.length === 1 ? "is" : "are"} ${all.map((one) => one.name).join(", ")}.`,
      );
    },
  };
}

/** A picture that an executed notebook shows. */
interface NotebookPicture {
  /** Its title as a file name: `the-strip-decides-what-a-degree-is-worth`; numbered where two are alike. */
  readonly name: string;
  readonly shows: string;
  readonly svg: string;
  /** What it says, for those who cannot see it. */
  readonly text: string;
}

const LONGEST = 60;
const ENTITIES: Readonly<Record<string, string>> = { lt: "<", gt: ">", quot: '"', "#39": "'", amp: "&" };

/** Every drawing and chart among an executed notebook's outputs, in order. */
function notebookPictures({ cells }: Notebook): NotebookPicture[] {
  const outputs = cells.flatMap((cell) => (cell.cell_type === "code" ? cell.outputs : []));
  const pictures = outputs.flatMap((output): Omit<NotebookPicture, "name">[] => {
    if (output.output_type !== "display_data" && output.output_type !== "execute_result") return [];
    const svg = output.data["image/svg+xml"];
    if (svg === undefined) return [];
    const drawing = textOf(svg as MultilineText);
    const [shows, description] = [inside("title", drawing), inside("desc", drawing)];
    return [{ svg: drawing, shows: shows === "" ? "picture" : shows, text: `${shows}. ${description}` }];
  });
  const slugs = pictures.map(({ shows }) => slug(shows));
  return pictures.map((picture, i) => {
    const before = slugs.slice(0, i).filter((one) => one === slugs[i]).length;
    return { name: before === 0 ? slugs[i]! : `${slugs[i]}-${before + 1}`, ...picture };
  });
}

const inside = (tag: string, svg: string): string =>
  (new RegExp(`<${tag}[^>]*>([^<]*)</${tag}>`).exec(svg)?.[1] ?? "").replaceAll(
    /&(lt|gt|quot|#39|amp);/g,
    (_, name: string) => ENTITIES[name]!,
  );

const slug = (title: string): string =>
  title
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, "-")
    .slice(0, LONGEST)
    .replaceAll(/^-|-$/g, "") || "picture";
