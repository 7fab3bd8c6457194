import type { Reading } from "../../readings/reading.js";

/** What a reading was of, as short as it can be said: on a bench with one piece the cut alone, in a cell both faces. */
export function subjectText({ subject, bench }: Pick<Reading, "subject" | "bench">): string {
  if (subject === null) return "any joint";
  const [first = "", mate] = subject.split("|");
  if (mate === undefined) return subject;
  const onBench = bench !== "cell" && bench !== "none";
  return onBench ? first.replace(/^(point|bevel)\./, "") : `${first} | ${mate}`;
}

/** Where along its joint a gap was read, and at which side of the panel: `toe, front`; empty for what has no such place. */
export const endText = ({ at, side }: Pick<Reading, "at" | "side">): string =>
  [at, side].filter((word) => word != null).join(", ");
