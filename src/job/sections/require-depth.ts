import type { JobPath, JobSource } from "../file/job-source.js";
import { faultSentence } from "../unfit.js";

/** Notes a lean in a job that does not say how deep its strips are. */
export function requireDepth(source: JobSource, path: JobPath): void {
  if (source.at(["depth"]) !== undefined) return;
  source.refuse(
    path,
    faultSentence({
      what: String(path.at(-1)),
      problem: "the job does not say how deep the strips are",
      rule: "a face that leans moves by the lean times the depth, so give depth beside strip, or leave the lean out",
    }),
    { example: "depth: 12 mm" },
  );
}
