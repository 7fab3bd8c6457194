import { describe, expect, it } from "vitest";
import { placeDrawing } from "../../../src/features/sheet/place-drawing.js";
import { stationsOf } from "../../../src/inference/design/station.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { PALETTE } from "../../../src/render/style.js";

const job = loadJob("data/alcove-screen");
const readings = stationsOf(job, job.trialCosts).flatMap((station) => station.readings);
const marks = (svg: string): number => svg.split(PALETTE.attention).length - 1;

describe("the drawing of a reading", () => {
  it("marks a place for every kind of reading on every bench", () => {
    const kinds = new Map(
      readings.map((reading) => [`${reading.bench} ${reading.what} ${reading.at}`, reading]),
    );
    expect(kinds.size).toBeGreaterThan(10);
    for (const [kind, reading] of kinds) {
      const svg = String(placeDrawing(job, reading, kind));
      expect(marks(svg), kind).toBeGreaterThan(0);
      expect(svg, kind).not.toMatch(/NaN|Infinity|undefined/);
    }
  });

  it("names the end that is wanted in bold, and the other one plainly", () => {
    for (const end of ["toe", "heel"] as const) {
      const reading = readings.find(({ bench, at }) => bench === "corner-90" && at === end);
      const svg = String(placeDrawing(job, reading!, ""));
      const bold = [...svg.matchAll(/<text[^>]*font-weight="bold"[^>]*>([^<]*)</g)].map(([, text]) => text);
      expect(bold).toEqual([end]);
      expect(svg).toContain(`>${end === "toe" ? "heel" : "toe"}<`);
    }
  });
});
