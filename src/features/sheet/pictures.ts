import type { Job } from "../../model/job/job.js";
import { namesDrawing } from "../../render/cell/names-drawing.js";
import { type Html, raw } from "../../render/html.js";
import { cardSheet } from "../calibrate/index.js";
import { cellPicture } from "./place-drawing.js";

/** Pictures of the form: the cell, each jig and each stop, by what a part of the form is about. */
export function shopPictures(job: Job): Map<string, Html> {
  const pictures = new Map<string, Html>([["cell ", cellPicture(job)]]);
  if (job.jigs.length === 0) return pictures;
  const stopped = job.setUps.filter(({ stop }) => stop !== null);
  for (const { name, ramp, stops } of cardSheet(job, null, "").jigs) {
    pictures.set(`jig ${name}`, ramp.drawing);
    const own = stopped.filter(({ jig }) => jig === name);
    for (const [i, stop] of stops.entries()) {
      const setUp = own[i];
      if (setUp) pictures.set(`set-up ${setUp.name}`, stop.drawing);
    }
  }
  return pictures;
}

/** px: a phone's width less the margins of the page and of the reading. */
const NAMES_WIDTH = 324;
const drawn = new WeakMap<Job, Html>();

/** The cell with the names of its joints, pieces and ends; drawn once for each job. */
export function namesPicture(job: Job): Html {
  const known = drawn.get(job) ?? raw(namesDrawing(job, { width: NAMES_WIDTH, parts: ["cell"] }).svg);
  drawn.set(job, known);
  return known;
}
