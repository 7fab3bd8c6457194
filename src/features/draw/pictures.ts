import { UserError } from "../../core/errors.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { namesDrawing } from "../../render/cell/names-drawing.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import {
  type JobPicture,
  type PictureInput,
  remembering,
  type TablePictures,
} from "../../render/pictures.js";
import { BATCH_PICTURES } from "../batch/index.js";
import { CALIBRATION_PICTURES } from "../calibrate/index.js";
import { CAUSE_PICTURES, patternPictures } from "../explain/index.js";
import { GAUGE_PICTURES } from "../gauge/index.js";
import { makePictures } from "../make/index.js";
import { PANEL_PICTURES } from "../panel/index.js";
import { PLAN_PICTURES } from "../plan/index.js";
import { PREDICT_PICTURES } from "../predict/index.js";
import { SEASON_PICTURES } from "../season/index.js";

/** Which joint, piece, end and side is which. */
const NAMES_PICTURE: JobPicture = {
  name: "names",
  shows: "joints, pieces, ends and sides with the names to type",
  needs: "job",
  draw: ({ job }) => drawChart(namesDrawing(job, { width: NAMES_WIDTH })),
};
/** px: the cell beside its list. */
const NAMES_WIDTH = 620;

/** Every picture of a job that features offer under a name of its own; a new feature's pictures are added in its folder, and named here. */
export const JOB_PICTURES: readonly JobPicture[] = [
  NAMES_PICTURE,
  ...PREDICT_PICTURES,
  ...CALIBRATION_PICTURES,
  ...PLAN_PICTURES,
  ...CAUSE_PICTURES,
  ...PANEL_PICTURES,
  ...SEASON_PICTURES,
];

/** Every kind of picture of a table of measurements. */
export const TABLE_PICTURES: readonly TablePictures[] = [GAUGE_PICTURES, BATCH_PICTURES];

/** The pictures of a job, the jigs and steps of making it after those that every job has, the pages of its pattern book last. */
export const jobPictures = (job: Job): JobPicture[] =>
  [...JOB_PICTURES, ...makePictures(job), ...patternPictures(job)].filter(({ needs }) => {
    if (needs === "panel" || needs === "season") return Boolean(job[needs]);
    return true;
  });

/** A picture that can be saved as a file. */
export type PictureName = Pick<JobPicture, "name" | "shows" | "needs">;

/**
 * Every picture of a job by name.
 *
 * @example
 * pictureNames(job).some(({ name }) => name === "cell") // true
 */
export const pictureNames = (job: Job): PictureName[] =>
  jobPictures(job).map(({ name, shows, needs }) => ({ name, shows, needs }));

/** How a picture is drawn. `seed`: whole, ≥ 0, of every draw; default 1. */
export type PictureOptions = Partial<Pick<PictureInput, "seed" | "onProgress">>;

/**
 * A picture of a job, drawn.
 *
 * @throws UserError (code "picture") for a name that is not there, or when the job does not have what it shows.
 * @example
 * (await drawPicture("cell", job, readings)).svg.startsWith("<svg") // true
 */
export const drawPicture = async (
  name: string,
  job: Job,
  readings: readonly Reading[],
  { seed = 1, onProgress = () => {} }: PictureOptions = {},
): Promise<Chart> =>
  findPicture(jobPictures(job), name).draw({ job, readings, seed, onProgress, once: remembering() });

/**
 * The picture of a name; the beginning of its name will do where there is but one picture.
 *
 * @throws UserError (code "picture") for a name that is not there; it names those that are near.
 */
export function findPicture<P extends { readonly name: string }>(pictures: readonly P[], name: string): P {
  const [only, ...others] = pictures;
  const found = pictures.find((one) => one.name === name);
  if (found) return found;
  if (only && others.length === 0 && only.name.startsWith(name)) return only;
  const names = pictures.map((one) => one.name);
  const near = names.filter((one) => one.includes(name) || name.includes(one));
  const some = near.length > 0 && near.length < names.length;
  const list = some
    ? `Did you mean ${near.join(", ")}?`
    : `There ${names.length === 1 ? "is" : "are"} ${names.join(", ")}.`;
  throw new UserError("picture", `There is no picture “${name}”. ${list}`);
}
