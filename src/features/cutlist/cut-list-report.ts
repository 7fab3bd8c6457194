import { stringify } from "csv-stringify/sync";
import { given } from "../../cli/arguments.js";
import { writeFiles } from "../../core/files.js";
import { formatLength } from "../../core/quantity/index.js";
import { loadJob } from "../../io/job/load-job.js";
import { answerText } from "../../render/cautions.js";
import { basisText } from "../../render/evidence-text.js";
import { textTable, wrapped } from "../../render/text.js";
import { today } from "../calibrate/index.js";
import { type EvidenceFlags, folderPosterior } from "../evidence/index.js";
import { type CutList, planCuts, setUpsFor } from "./cut-list.js";
import { buyText, cutListNotes, cutListTables } from "./cut-list-contents.js";
import { cutListHtml } from "./cut-list-html.js";

export interface CutListFlags extends Omit<EvidenceFlags, "moved"> {
  readonly json?: boolean;
  readonly details?: boolean;
  /** A folder for the page and the tables. */
  readonly out?: string;
}

/** `sukima cutlist JOBFOLDER`: what to cut, at which set-up, from which sticks. */
export function cutListCommand(
  folder: string,
  flags: CutListFlags,
  now: Date,
  onProgress: (step: string) => void = () => {},
): string {
  const { json, seed, out } = flags;
  const job = loadJob(folder);
  const posterior = folderPosterior(folder, job, flags, onProgress);
  const list = planCuts(job, { posterior, ...given({ seed }) });
  const page = (): string => cutListHtml(list, today(now));
  const tables = (): [string, string][] => cutListCsv(list).map(({ name, text }) => [`${name}.csv`, text]);
  const files =
    out === undefined ? {} : writeFiles(out, { "cut-list.html": page(), ...Object.fromEntries(tables()) });
  const written = Object.values(files).map((file) => `Written: ${file}`);
  if (json) return JSON.stringify(cutListJson(list), null, 1);
  const hint =
    out === undefined ? "With --out FOLDER: a page to print and tick off, and tables for a spreadsheet." : "";
  return [cutListText(list, flags.details ?? false), ...written, hint].join("\n");
}

/** `Spares are based on 58 readings of 10 trial pieces, with jigs and stops set right.` */
const spareBasis = ({ posterior }: CutList): string =>
  `Spares are based on ${basisText(posterior.basis)}; jigs and stops set right.`;

/** The list for reading. */
export function cutListText(list: CutList, details = true): string {
  const [pieces, ...others] = cutListTables(list);
  const answer = [
    spareBasis(list),
    `CUT LIST: ${list.job.title}`,
    ...(pieces === undefined ? [] : [textTable(pieces.heading, pieces.rows, pieces.right)]),
    wrapped(buyText(list)),
  ];
  const rest = [
    ...others.flatMap(({ title, heading, rows, right }) => [
      title.toUpperCase(),
      textTable(heading, rows, right),
      "",
    ]),
    ...cutListNotes(list).map((line) => wrapped(line)),
  ];
  return answerText({ answer, details: rest, wanted: details });
}

/** Named tables for a spreadsheet. Lengths are bare numbers in the job's unit, mm to the hundredth or inches to the ten-thousandth. */
export function cutListCsv(list: CutList): { readonly name: string; readonly text: string }[] {
  const { job, lines, setUps, packed, recuts } = list;
  const { units } = job;
  const length = (mm: number): string =>
    formatLength(mm, units === "mm" ? { unit: "mm", digits: 2 } : { unit: "in", digits: 4 }).replace(
      / .*$/,
      "",
    );
  const degrees = (rad: number): string => String(Number(((rad * 180) / Math.PI).toFixed(4)));
  return [
    table(
      "pieces",
      ["piece", "stock", "thickness", "finished", "rough", "unit", "needed", "spare", "cut"],
      lines.map((line) => [
        ...[line.name, line.stock, length(line.thickness), length(line.finished), length(line.rough), units],
        ...[line.needed, line.spares, line.needed + line.spares].map(String),
      ]),
    ),
    table(
      "set-ups",
      ["set-up", "jig", "ramp in degrees", "cuts", "piece", "stop", "unit", "pieces", "passes"],
      setUps.map((line) => [
        ...[line.setUp, line.jig, degrees(line.ramp), line.group, line.piece],
        ...[line.setting === null ? "to a mark" : length(line.setting), units],
        ...[String(line.pieces), String(line.passes)],
      ]),
    ),
    table(
      "laps",
      ["strip", "lap", "middle from the strip's end", "width", "unit", "layer"],
      list.laps.flatMap(({ name, width, places, layer }) =>
        places.map((place, k) => [name, String(k + 1), length(place), length(width), units, layer ?? ""]),
      ),
    ),
    table(
      "sticks",
      ["stock", "stick", "unit", "sticks", "piece", "rough", "pieces of each stick", "left of each stick"],
      packed.flatMap(({ stock, packed: { plans } }) =>
        plans.flatMap((plan) =>
          plan.pieces.map((piece) => [
            ...[stock, length(plan.stock), units, String(plan.sticks)],
            ...[piece.name, length(piece.length), String(piece.count), length(plan.left)],
          ]),
        ),
      ),
    ),
    table(
      "recuts",
      ["scrapped piece", "becomes", "end kept", "cut anew", "room", "unit"],
      recuts.map(({ from, to, kept, anew, room }) => [
        ...[from, to, kept ?? "neither"],
        ...[(setUpsFor(job, anew).length > 0 ? setUpsFor(job, anew) : anew).join(" "), length(room), units],
      ]),
    ),
  ];
}

/** A cell that starts like a formula is written so that a spreadsheet takes it for text. */
const table = (name: string, heading: string[], rows: string[][]) => ({
  name,
  text: stringify([heading, ...rows], { escape_formulas: true }),
});

/** A cut list as plain data for other programs: lengths in mm, angles in degrees. */
export function cutListJson({
  job,
  posterior,
  stock,
  cells,
  halves,
  lines,
  sure,
  setUps,
  recuts,
  packed,
  laps,
}: CutList): object {
  return {
    basis: posterior.basis,
    cells,
    halves,
    stock,
    sure,
    lines,
    laps,
    setUps: setUps.map(({ ramp, ...line }) => ({ ...line, rampDegrees: (ramp * 180) / Math.PI })),
    packed: packed.map(({ packed: plan, ...rest }) => ({ ...rest, ...plan })),
    recuts: recuts.map((one) => ({ ...one, setUps: setUpsFor(job, one.anew) })),
  };
}
