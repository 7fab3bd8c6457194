import type { JobPath, JobSource } from "../file/job-source.js";
import { faultSentence } from "../unfit.js";

/** What is known exactly needs no adjusting: `trusted-to: 0` is for what is locked. */
export function refuseCertainty(source: JobSource, path: JobPath, trustedTo: number, locked: boolean): void {
  if (trustedTo > 0 || locked) return;
  source.refuse(
    [...path, "trusted-to"],
    faultSentence({
      what: "trusted-to",
      problem: "it is zero, which says that nothing is left to find out",
      rule: "it must be more than zero, unless the same group says locked: true",
      value: source.at([...path, "trusted-to"]),
    }),
  );
}
