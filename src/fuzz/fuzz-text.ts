import { BOUNDS } from "./bounds.js";
import type { FuzzReport } from "./run-fuzz.js";

/** A report in words, its findings last. */
export function fuzzText({ cases, seed, counts, findings, seconds, peakMb }: FuzzReport): string {
  const rows = counts.map(({ subject, accepted, refused, shapes, slowest }) =>
    [
      subject.padEnd(10),
      String(accepted).padStart(9),
      String(refused).padStart(9),
      String(shapes.length).padStart(9),
      `${(100 * slowest).toFixed(1)} %`.padStart(12),
    ].join(""),
  );
  const kinds = counts.reduce((sum, { shapes }) => sum + shapes.length, 0);
  return [
    `${cases} cases, seed ${seed}: ${seconds.toFixed(1)} s, at most ${Math.round(peakMb)} MB in memory, ${kinds} kinds of refusal, ${findings.length} that must not be.`,
    `A case may take ${BOUNDS.fixedMs / 1000} s and ${1000 * BOUNDS.msPerByte} µs a byte, and ${BOUNDS.heapMb} MB of JavaScript's memory; the last column is the most that one took of its time.`,
    "",
    `${"read".padEnd(10)}${"accepted".padStart(9)}${"refused".padStart(9)}${"kinds".padStart(9)}${"slowest".padStart(12)}`,
    ...rows,
    ...findings.map(
      ({ index, subject, what, bytes, stack }) =>
        `\n${subject}, case ${index}, ${bytes} bytes: ${what}\n${stack}`,
    ),
    "",
  ].join("\n");
}
