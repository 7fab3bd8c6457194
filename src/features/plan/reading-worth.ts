import { at } from "../../core/numeric/dense.js";
import { listed } from "../../core/text.js";
import type { ReadingValue } from "../../inference/design/value-of-reading.js";
import type { Job } from "../../model/job/job.js";
import type { CellOfJob } from "../../render/shared-text.js";
import { placeText, readingsText, sampleText } from "./reading-text.js";

// What a reading is worth before any move is made, in scrapped pieces.

/** Losses below this are not told more closely, in pieces. */
export const LEAST_TOLD = 0.05;

/** `3.2 pieces`, `0.3 of a piece`, `less than 0.05 of a piece`. */
export function piecesText(pieces: number): string {
  if (pieces < LEAST_TOLD) return `less than ${LEAST_TOLD} of a piece`;
  const figure = pieces.toFixed(1);
  if (figure === "1.0") return "1 piece";
  return pieces < 1 ? `${figure} of a piece` : `${figure.replace(".0", "")} pieces`;
}

/** `about 3.2 pieces`, or `less than 0.05 of a piece`. */
export const aboutPieces = (pieces: number): string =>
  pieces < LEAST_TOLD ? piecesText(pieces) : `about ${piecesText(pieces)}`;

/** What to read first, and what that is worth: `Read one whole hinge-1, measured alone: length of hinge-1 with caliper.` */
export function readTexts(read: ReadingValue, job: Job): [action: string, reason: string] {
  const { instruments, costs } = job;
  const { value, cost } = read;
  const what = read.stations.some(({ pieces }) => pieces > 0)
    ? "the piece and the reading cost"
    : "the reading costs";
  return [
    `Read ${readingName(read, job)}.`,
    `Moves chosen after that save ${aboutPieces(value)} more over ${costs.cells} cells; ${what} ${piecesText(cost)}.${declaring(read, instruments)}`,
  ];
}

/** What would tell an error, where reading it is not worth its cost: the reading, then what it would save and cost. */
export function tellingText(read: ReadingValue, job: Job): string {
  const { instruments, costs } = job;
  const { value, cost } = read;
  const when = read.stations.some(({ pieces }) => pieces > 0)
    ? "read it when you cut such a piece anyway"
    : "read it when you have the instrument at hand";
  return `${readingName(read, job)}. For ${costs.cells} cells that would save ${aboutPieces(value)} and cost ${piecesText(cost)}: ${when}.${declaring(read, instruments)}`;
}

/** `one whole hinge-1, measured alone: length of hinge-1 with caliper, and angle of hinge-1.start-left with a borrowed angle box`. */
export function readingName({ stations, readings, borrowed }: ReadingValue, job: CellOfJob): string {
  const { sample, bench, instrument } = at(stations, 0);
  const fetched = borrowed ? " (borrowed, if you have none)" : "";
  if (sample.kind === "jig")
    return `the angle of the ramp on the jig ${sample.jig} itself with ${instrument.name}${fetched}`;
  const each = readings.map((reading, i) => {
    const { name } = at(stations, i).instrument;
    return `${readingsText([reading], job)} with ${name}`;
  });
  return `${sampleText(sample)}, ${placeText(bench)}: ${listed(each)}${fetched}`;
}

/** What to write into the job where it names no instrument that reads all of it. */
export function declaring({ readings }: ReadingValue, instruments: Job["instruments"]): string {
  const missing = readings.filter(
    ({ instrument, what }) =>
      !instruments.some(({ name, reads }) => name === instrument && reads.includes(what)),
  );
  const names = [...new Set(missing.map(({ instrument }) => instrument))];
  const texts = names.map((name) => {
    const own = missing.filter(({ instrument }) => instrument === name).map(({ what }) => what);
    return `${name} reads ${listed([...new Set(own)])}`;
  });
  return texts.length === 0 ? "" : ` Say in job.yaml, under instruments, that ${listed(texts)}.`;
}
