import type { Check, WeighedCheck } from "../../explain/check.js";
import type { Job } from "../../job/job.js";
import { angleText, pieceLength, smallLength } from "./shop-numbers.js";

/** A check as something to do. */
export function checkText({ bench, setUp, what, subject, at, side, instrument }: Check): string {
  const tool = `with ${instrument}`;
  if (what === "gap") {
    const joint = subject?.replace("|", " on ");
    const where = side ? ` at the ${side}` : "";
    const gap =
      at === "widest"
        ? `read the widest gap of ${joint}${where} ${tool}`
        : `read the gap at the ${at} of ${joint}${where} ${tool}`;
    if (bench === "cell") return `In the same cell, ${gap}.`;
    return `Cut ${PIECES[bench] ?? "a trial piece"} at ${setUp}, put ${PIECES[bench] ? "them" : "it"} on the bench ${bench}, and ${gap}.`;
  }
  if (what === "angle")
    return `Cut a trial piece at ${setUp} and read the angle of its cut ${subject} ${tool}.`;
  if (what === "length") return `Measure ${kindOf(subject)} tip to tip ${tool}.`;
  return `Measure the thickness of ${kindOf(subject)} ${tool}.`;
}

const PIECES: Readonly<Record<string, string>> = {
  reversal: "two points",
  "mitre-pair": "two mitred ends",
};

/** `hinge-1` is a hinge: any new one will do. */
const kindOf = (piece: string | null): string => `a new ${piece?.replace(/-\d+$/, "") ?? "piece"}`;

/** What the check would show under each of its two hypotheses: middle, and the stretch that holds nine in ten. */
export function foreseenTexts({ check, foreseen }: WeighedCheck, { units }: Job): [string, string] {
  const text = (value: number): string => {
    if (check.what === "angle") return angleText(value);
    return check.what === "gap" ? smallLength(Math.max(0, value), units) : pieceLength(value, units);
  };
  const range = ([low, middle, high]: readonly [number, number, number]): string =>
    text(low) === text(high) ? `about ${text(middle)}` : `${text(middle)} (${text(low)} to ${text(high)})`;
  return [range(foreseen[0]), range(foreseen[1])];
}
