import type { Job } from "../../model/job/job.js";
import { angleText, signed, smallLength } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";
import type { Marked, MarkedSource, Marking } from "./mark-answer.js";

const WORDS: Readonly<Record<Marked, string>> = {
  found: "found",
  rough: "found, its size further off than the readings allow",
  "wrong-side": "found, but the wrong way",
  missed: "missed",
  "beyond-the-data": "missed, and the readings do not show it",
  right: "in order, and left alone",
  excusable: "in order; the readings would have allowed it",
  "false-alarm": "in order; the readings rule your answer out",
};

/** A marked answer, for reading. */
export function markingText({ sources, points, of }: Marking, job: Job): string {
  const row = (one: MarkedSource): string[] => {
    const text = (value: number): string =>
      value === 0 ? "0" : signed(one.angular ? angleText(value) : smallLength(value, job.units));
    return [
      one.source,
      text(one.truth),
      one.answer === null ? "" : text(one.answer),
      `${text(one.interval[0])} to ${text(one.interval[1])}`,
      WORDS[one.marked],
      one.of > 0 || one.points !== 0 ? String(one.points).replace("-", "−") : "",
    ];
  };
  return [
    `${points} of ${of} points`,
    "",
    textTable(
      ["cause", "truth", "your answer", "the readings tell (95 %)", "marked", "points"],
      sources.map(row),
      [1, 2, 3, 5],
    ),
    "",
    wrapped(
      "Two points for a cause found with its size, one for a cause found the right way, one off for what the readings rule out, the sum never under 0. A size is good when it lies within the interval, or as near to the truth as half its width. What no reading shows costs nothing.",
    ),
    ...hintLines(sources),
    "",
  ].join("\n");
}

function hintLines(sources: readonly MarkedSource[]): string[] {
  const outside = sources.filter(({ truth, interval: [low, high] }) => truth < low || truth > high);
  if (outside.length === 0) return [];
  const names = outside.map(({ source }) => source).join(", ");
  return [
    wrapped(
      `One 95 % interval in twenty misses the truth; here that of ${names} does: that is luck of the draw.`,
    ),
  ];
}
