import { errorLayout } from "../cutting/error-layout.js";
import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";
import type { SpecimenReadings } from "./group-readings.js";

/**
 * Names the cut-to-cut error behind each elementary error of a specimen, so that readings of one piece share it wherever the piece was judged:
 * the left cut of a trial piece is the same cut in a corner, on a straightedge and under an angle gauge.
 */
export function cutToCutNames(job: Job, { specimen }: SpecimenReadings, reading: Reading): string[] {
  const { cell } = specimen;
  const { trial, setUp, bench } = reading;
  const single = bench !== "cell" && setUp !== null && (bench === "none" || cell.pieces.length === 1);
  const groups = job.setUps.find(({ name }) => name === setUp)?.cuts ?? [];
  const tried = cell.pieces.find(({ cuts }) => cuts.some(({ group }) => groups.includes(group)))?.name;
  return errorLayout(cell).entries.map(({ kind, owner, face }) => {
    const ofTrial = single && (bench !== "none" || owner === tried);
    if (!ofTrial) return `${trial}/${owner}${face ? `.${face}` : ""} ${kind}`;
    if (face === undefined) return `${trial}/piece ${kind}`;
    const cuts = triedCuts(cell, owner, bench === "none" ? groups : null);
    // The only cut of a set-up is the same cut whichever side it faces on the bench.
    const cut = !cuts.includes(face) ? face : cuts.length === 1 ? "cut" : face.split("-")[1];
    return `${trial}/${cut} ${kind}`;
  });
}

/** The cuts under trial of a piece: those of the set-up's groups, or on a bench all but its square ends. */
function triedCuts(
  cell: SpecimenReadings["specimen"]["cell"],
  owner: string,
  groups: readonly string[] | null,
): string[] {
  const cuts = cell.pieces.find(({ name }) => name === owner)?.cuts ?? [];
  return cuts
    .filter(({ role, group }) => (groups === null ? role !== "square" : groups.includes(group)))
    .map(({ face }) => face);
}
