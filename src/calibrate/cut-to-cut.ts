import { errorLayout } from "../cutting/error-layout.js";
import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";
import type { SpecimenReadings } from "./expect-readings.js";

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
    const side = face?.split("-")[1];
    const end =
      bench === "none" && face && !isTriedCut(job, reading, specimen.cell, owner, face) ? `${face} ` : "";
    return `${trial}/${end}${side ?? "piece"} ${kind}`;
  });
}

function isTriedCut(
  job: Job,
  { setUp }: Reading,
  cell: SpecimenReadings["specimen"]["cell"],
  owner: string,
  face: string,
): boolean {
  const groups = job.setUps.find(({ name }) => name === setUp)?.cuts ?? [];
  const cut = cell.pieces.find(({ name }) => name === owner)?.cuts.find((c) => c.face === face);
  return cut !== undefined && groups.includes(cut.group);
}
