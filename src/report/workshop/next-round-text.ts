import type { Calibration } from "../../calibrate/calibrate-job.js";
import type { Advice } from "../../calibrate/decide-moves.js";
import type { Job } from "../../job/job.js";
import { wrapped } from "../text/text-table.js";

/** What to write into the job once the moves are made, so that old and new readings are understood together; empty where nothing is moved. */
export function nextRoundText({ job, decision }: Calibration): string {
  const made = decision.advice.filter(({ verdict }) => verdict === "adjust");
  if (made.length === 0) return "";
  const groups = [
    ["ramps", made.filter(({ adjuster }) => adjuster.kind === "shim")],
    ["stops", made.filter(({ adjuster }) => adjuster.kind === "stop")],
  ] as const;
  const name = nameOfNext(job);
  const lines = groups.flatMap(([group, moves]) =>
    moves.length === 0 ? [] : [`    ${group}: { ${moves.map((move) => moveText(move, job)).join(", ")} }`],
  );
  return [
    "\nWHEN THE MOVES ARE MADE",
    wrapped(
      job.rounds.length === 0
        ? `Write this into job.yaml, and ${name} into the column round of every reading that you take from then on:`
        : `Add this to the rounds of job.yaml, and write ${name} into the column round of every reading that you take from then on:`,
      96,
      "  ",
    ),
    ...(job.rounds.length === 0 ? ["rounds:"] : []),
    `  ${name}:`,
    ...lines,
    "",
  ].join("\n");
}

const NAMES = ["second", "third", "fourth", "fifth"];

function nameOfNext({ rounds }: Job): string {
  const used = rounds.map(({ name }) => name);
  return (
    NAMES.slice(rounds.length).find((name) => !used.includes(name)) ?? `after-${used.at(-1) ?? "the-first"}`
  );
}

/** A stop's way in the job's units, the leaves of a shim together; shorter and shallower are negative. */
function moveText({ adjuster, setting }: Advice, { units }: Job): string {
  const length = (mm: number): string => `${trimmed(units === "mm" ? mm : mm / INCH)} ${units}`;
  if (adjuster.kind === "stop") return `${adjuster.name}: { by: ${length(setting.change)} }`;
  const stack = setting.leaves.reduce((sum, leaf) => sum + leaf, 0);
  return `${adjuster.name}: { shim: ${length(Math.sign(setting.change) * stack)} }`;
}

const INCH = 25.4;
const trimmed = (value: number): number => Number(value.toFixed(4));
