import { existsSync } from "node:fs";
import { join } from "node:path";
import { isUserError, UserError } from "../../core/errors.js";
import { present } from "../../core/numeric/dense.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { activePart } from "../../render/inert.js";
import { drawingsOf } from "../../render/notebook/display.js";
import { type Notebook, readNotebook } from "../../render/notebook/notebook.js";
import { type PictureNeed, remembering, requirePictureFile, writePicture } from "../../render/pictures.js";
import { textTable, wrapped } from "../../render/text.js";
import { findPicture, JOB_PICTURES, jobPictures, TABLE_PICTURES } from "./pictures.js";

export interface DrawFlags {
  /** Exactly one of these three; none to list every picture there may be. */
  readonly job?: string;
  readonly notebook?: string;
  readonly table?: string;
  readonly out?: string;
  readonly width?: number;
  /** Every picture there is, into the folder `out`. */
  readonly all?: boolean;
  readonly png?: boolean;
  readonly seed: number;
}

/** A picture that can be drawn. */
interface Offered {
  readonly name: string;
  readonly shows: string;
  readonly draw: () => Promise<{ readonly svg: string; readonly text: string }>;
}

/** `sukima draw NAME --job FOLDER --out FILE`: a chart or drawing as SVG or PNG; without a name, the pictures there are. */
export async function drawCommand(
  name: string | undefined,
  flags: DrawFlags,
  onProgress: (step: string) => void,
): Promise<string> {
  const { job, notebook, table, out, width } = flags;
  if ([name, job, notebook, table].every((one) => one === undefined)) return everyPicture();
  const pictures = await picturesOf(name, flags, onProgress);
  if (flags.all) return drawAll(pictures, name, flags, onProgress);
  if (name === undefined)
    return textTable(
      ["name", "shows"],
      pictures.map((one) => [one.name, one.shows]),
    );
  const picture = findPicture(pictures, name);
  if (out === undefined)
    throw new UserError(
      "usage",
      `There is nowhere to draw to: --out must name a file ending in .svg or .png; got nothing. Write for example --out ${name}.svg`,
    );
  requirePictureFile(out);
  const { svg, text } = await picture.draw();
  return `${await writePicture(svg, out, width)}\n${text}`;
}

/** Draws every picture into a folder; says which were drawn, and why others were not. */
async function drawAll(
  pictures: readonly Offered[],
  name: string | undefined,
  { out, width, png = false }: DrawFlags,
  onProgress: (step: string) => void,
): Promise<string> {
  if (name !== undefined || out === undefined)
    throw new UserError(
      "usage",
      `--all draws every picture into a folder and takes no name; got ${name === undefined ? "no --out" : `“${name}”`}. Write for example sukima draw --all --job my-screen --out pictures`,
    );
  const lines: string[] = [];
  for (const [i, picture] of pictures.entries()) {
    onProgress(`drawing ${picture.name}, ${i + 1} of ${pictures.length}`);
    try {
      const { svg } = await picture.draw();
      lines.push(await writePicture(svg, join(out, `${picture.name}.${png ? "png" : "svg"}`), width));
    } catch (error) {
      if (!isUserError(error, "picture")) throw error;
      lines.push(`Not drawn: ${error.message}`);
    }
  }
  return lines.join("\n");
}

const NEEDS: Readonly<Record<PictureNeed, string>> = {
  job: "--job",
  readings: "--job with a trials.csv",
  panel: "--job with a panel",
  season: "--job with a season",
};

/** Every picture there may be, whatever a job has. */
function everyPicture(): string {
  return [
    textTable(
      ["name", "shows", "needs"],
      [
        ...JOB_PICTURES.map(({ name, shows, needs }) => [name, shows, NEEDS[needs]]),
        ...TABLE_PICTURES.map(({ name, shows }) => [name, shows, "--table"]),
      ],
    ),
    "",
    wrapped(
      "With --job FOLDER and no name, the pictures of that job are listed, with a page of the pattern book for everything that may be off; with --notebook FILE those that an executed notebook shows. Write for example: sukima draw cell --job data/alcove-screen --out cell.svg",
    ),
  ].join("\n");
}

async function picturesOf(
  name: string | undefined,
  { job, notebook, table, seed }: DrawFlags,
  onProgress: (step: string) => void,
): Promise<readonly Offered[]> {
  const sources = [job, notebook, table].filter((from) => from !== undefined);
  if (sources.length !== 1)
    throw new UserError(
      "usage",
      `It is not clear what to draw: name one of --job, --notebook or --table; got ${sources.length === 0 ? "none" : sources.length}. Write for example --job data/alcove-screen`,
    );
  if (job !== undefined) return picturesOfJob(job, seed, onProgress);
  if (notebook !== undefined) return picturesOfNotebook(notebook);
  return picturesOfTable(name, table ?? "");
}

function picturesOfJob(folder: string, seed: number, onProgress: (step: string) => void): Offered[] {
  const job = loadJob(folder);
  const trials = join(folder, "trials.csv");
  const once = remembering();
  const readings = () => once("readings", () => (existsSync(trials) ? loadTrials(trials, job) : []));
  return jobPictures(job).map(({ name, shows, draw }) => ({
    name,
    shows,
    draw: async () => draw({ job, readings: readings(), seed, onProgress, once }),
  }));
}

function picturesOfTable(name: string | undefined, file: string): Offered[] {
  const kind = TABLE_PICTURES.find((one) => name?.startsWith(one.name));
  if (!kind)
    throw new UserError(
      "picture",
      `The picture's name says what the table holds: it must be gauge (repeated readings) or batch (pieces in the order of cutting); got ${name === undefined ? "none" : `“${name}”`}. Write for example: sukima draw gauge --table readings.csv --out gauge.svg`,
    );
  return kind.of(file).map(({ of, draw }) => ({
    name: of === "" ? kind.name : `${kind.name}-${of}`,
    shows: kind.shows,
    draw,
  }));
}

/** Every drawing and chart among an executed notebook's outputs, in order; named by their titles, numbered where two are alike. */
async function picturesOfNotebook(file: string): Promise<Offered[]> {
  const { cells }: Notebook = await readNotebook(file);
  const outputs = cells.flatMap((cell) => (cell.cell_type === "code" ? cell.outputs : []));
  const drawings = outputs.flatMap((output) =>
    output.output_type === "display_data" || output.output_type === "execute_result"
      ? (drawingsOf(output.data)?.svg ?? [])
      : [],
  );
  const pictures = drawings.map((svg): Offered => {
    const shows = inside("title", svg) || "picture";
    const text = `${shows}. ${inside("desc", svg)}`;
    const draw = async () => {
      const active = activePart(svg);
      if (active === undefined) return { svg, text };
      throw new UserError(
        "picture",
        `The picture “${shows}” of ${file} is not drawn: a notebook's picture may be a drawing and nothing else, and it has ${active}.`,
      );
    };
    return { name: slug(shows), shows, draw };
  });
  if (pictures.length === 0)
    throw new UserError(
      "picture",
      `${file} shows no picture; it must have been run. Write for example npx sukima notebook 04-why-does-it-gap --job FOLDER --out report, then --notebook report/04-why-does-it-gap.ipynb`,
    );
  return pictures.map((picture, i) => {
    const before = pictures.slice(0, i).filter(({ name }) => name === picture.name).length;
    return before === 0 ? picture : { ...picture, name: `${picture.name}-${before + 1}` };
  });
}

/** Most letters of a name. */
const LONGEST = 60;
const ENTITIES: Readonly<Record<string, string>> = { lt: "<", gt: ">", quot: '"', "#39": "'", amp: "&" };

const inside = (tag: string, svg: string): string =>
  (new RegExp(`<${tag}[^>]*>([^<]*)</${tag}>`).exec(svg)?.[1] ?? "").replaceAll(
    /&(lt|gt|quot|#39|amp);/g,
    (_, name: string) => present(ENTITIES[name]),
  );

const slug = (title: string): string =>
  title
    .toLowerCase()
    .replaceAll(/[^a-z0-9]+/g, "-")
    .slice(0, LONGEST)
    .replaceAll(/^-|-$/g, "") || "picture";
