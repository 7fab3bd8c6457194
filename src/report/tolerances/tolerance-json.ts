import type { JobTolerances } from "../../tolerances/job-tolerances.js";

const DEGREE = Math.PI / 180;

/** Tolerances as plain data for other programs: standard deviations in mm and degrees. */
export function toleranceJson({ job, lines, ...rest }: JobTolerances): object {
  return {
    ...rest,
    limits: job.limits,
    lines: lines.map(({ parts, ...line }) => ({
      ...line,
      parts: parts.map(({ angular, today, wanted }) => ({
        unit: angular ? "deg" : "mm",
        today: today / (angular ? DEGREE : 1),
        wanted: wanted / (angular ? DEGREE : 1),
      })),
    })),
  };
}
