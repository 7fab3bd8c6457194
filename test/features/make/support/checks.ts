import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { crossing, direction, dot, halfPlaneThrough, polygonOf } from "../../../../src/core/geometry.js";
import { jigDrawing } from "../../../../src/features/make/jig-drawing.js";
import { makeHtml } from "../../../../src/features/make/make-html.js";
import { makeText } from "../../../../src/features/make/make-text.js";
import { planMaking } from "../../../../src/features/make/making.js";
import { newJob } from "../../../../src/features/new/new-job.js";
import { loadJob } from "../../../../src/io/job/load-job.js";
import { facePlane, pieceFaces } from "../../../../src/model/cell/cell.js";
import { errorLayout, noErrors } from "../../../../src/model/cell/cell-errors.js";
import type { Job } from "../../../../src/model/job/job.js";
import { jobCell } from "../../../../src/model/job/job-cell.js";
import { setUpByGroup } from "../../../../src/model/shop.js";
import { predictCell } from "../../../../src/physics/predict/predict-cell.js";
import type { Drawing } from "../../../../src/render/svg.js";
import { inFolder } from "../../../io/in-folder.js";
import { elementsWith } from "../../../render/svg-elements.js";

/** A starter job of a pattern with a panel; `change` edits its file. */
export function starter(
  pattern: string,
  units: "mm" | "in" = "mm",
  change = (text: string): string => text,
): Job {
  const folder = join(inFolder({}), pattern);
  const [file = ""] = newJob(folder, units, pattern);
  writeFileSync(file, change(readFileSync(file, "utf8").replace("# panel:", "panel:")));
  return loadJob(folder);
}

/** Slope of the blade's line in the view from the front: along over upright, px. */
export function bladeSlope(drawing: Drawing): number {
  const [blade] = elementsWith(drawing, "line", "stroke-width", "3");
  const { x1, x2, y1, y2 } = blade!.attributes;
  return (Number(x2) - Number(x1)) / (Number(y2) - Number(y1));
}

/** Checks of every jig of a pattern's starter job. */
export const checkJigs = (pattern: string, units: "mm" | "in"): void =>
  void describe(`the jigs of ${pattern} in ${units}`, () => {
    const plan = planMaking(starter(pattern, units));
    const { jigs, job } = plan;

    it("have a wedge whose rise and run make the ramp's angle, drawn so", () => {
      expect(jigs.length).toBeGreaterThan(0);
      for (const plan of jigs) {
        const { wedge, ramp } = plan;
        expect(Math.atan2(wedge.run, wedge.rise)).toBeCloseTo(ramp, 12);
        expect(Math.hypot(wedge.run, wedge.rise)).toBeCloseTo(wedge.face, 10);
        expect(wedge.top + wedge.run).toBeCloseTo(wedge.length, 10);
        expect(wedge.top).toBeGreaterThan(0);
        // On paper the line leans back upwards; px are rounded to the hundredth.
        expect(Math.abs(Math.atan(bladeSlope(jigDrawing(plan, job, { width: 640 }))) - ramp)).toBeLessThan(
          2e-3,
        );
      }
    });

    it("turn by leaf over base, and have feet that far apart on the wedge", () => {
      for (const plan of jigs) {
        const { shims } = job.jigs.find(({ name }) => name === plan.name)!;
        expect(plan.feet).toBe(shims!.base);
        expect(plan.feet! + plan.foot).toBeLessThanOrEqual(plan.wedge.length + 1e-9);
        for (const { leaf, turn } of plan.leaves) expect(Math.tan(turn) * shims!.base).toBeCloseTo(leaf, 10);
      }
    });

    it("set each stick so that the drawn piece reaches from its tip to the cut", () => {
      const cell = jobCell(job);
      for (const plan of jigs)
        for (const stop of plan.stops) {
          // From the piece as it lies in the cell: its far tip, and where the face crosses its middle line.
          const piece = cell.pieces.find(({ name }) => name === stop.piece.name)!;
          const corners = polygonOf(pieceFaces(piece, 0, cell.strip).map(facePlane));
          const out = (angle: number) => direction(piece.axis + (stop.cut.end === 1 ? 0 : Math.PI) + angle);
          const along = out(0);
          const tip = Math.min(...corners.map((corner) => dot(corner, along)));
          const face = pieceFaces(piece, 0, cell.strip).find(({ cut }) => cut?.face === stop.cut.face)!;
          const middle = halfPlaneThrough(piece.axis + Math.PI / 2, piece.origin);
          const setting = dot(crossing(facePlane(face), middle), along) - tip;
          expect(stop.setting).toBeCloseTo(setting, 8);
          expect(stop.stick + setting).toBeCloseTo(plan.bed.grooveToCut, 8);
          // The toe lies on the face's line, at the height of the bed over the strip's middle line.
          const height = plan.bed.groove - plan.strip / 2;
          expect(stop.setting - stop.toToe).toBeCloseTo(height * Math.tan(plan.ramp), 8);
          expect(stop.stick).toBeGreaterThan(0);
        }
    });

    it("name no millimetre on a job in inches", () => {
      const texts = [makeText(plan, true), makeHtml(plan, "2000-01-01")];
      for (const text of texts)
        expect(/\d (?:mm|µm)\b/.test(text.replaceAll(/<style>[\s\S]*?<\/style>/g, ""))).toBe(units === "mm");
    });
  });

/** Checks of the order of fitting of a pattern, and of how exact its parts must be. */
export const checkFitting = (pattern: string): void =>
  void describe(`the fitting of ${pattern}`, () => {
    const { job, steps, needed } = planMaking(starter(pattern));

    it("puts in every piece once, and closes every joint once, at the step of its later piece", () => {
      const cell = jobCell(job);
      expect(steps.flatMap(({ fresh }) => fresh).sort()).toEqual(cell.pieces.map(({ name }) => name).sort());
      expect(steps.flatMap(({ joints }) => joints.map(({ joint }) => joint.name)).sort()).toEqual(
        cell.joints.map(({ name }) => name).sort(),
      );
      const stepOf = (piece: string): number => steps.findIndex(({ fresh }) => fresh.includes(piece));
      for (const [i, { joints }] of steps.entries())
        for (const { joint } of joints) {
          const owners = joint.name.split("|").map((side) => side.split(".")[0]!);
          expect(Math.max(...owners.map(stepOf))).toBe(i);
        }
    });

    /** The larger share of a limit that errors use, at first order. */
    const share = (errors: Float64Array): number => {
      const { widestGap, deepestPress } = predictCell(jobCell(job), errors, { order: "first" });
      return Math.max(widestGap / job.limits.gap, deepestPress / job.limits.snug);
    };

    it("is as exact as needed where an error alone uses half of a limit", () => {
      const cell = jobCell(job);
      const { indexOf } = errorLayout(cell);
      const setUpOf = setUpByGroup(job);
      const errorsOf = (
        kind: "angle" | "axial",
        size: number,
        is: (setUp: string, jig: string) => boolean,
      ) => {
        const errors = noErrors(cell);
        for (const { name, cuts } of cell.pieces)
          for (const cut of cuts) {
            const setUp = setUpOf(cut)!;
            if (is(setUp.name, setUp.jig)) errors[indexOf(kind, name, cut.face)] = size;
          }
        return errors;
      };
      for (const [jig, { more, less }] of needed.ramps)
        for (const size of [more!, -less!])
          expect(share(errorsOf("angle", size, (_, own) => own === jig))).toBeCloseTo(0.5, 6);
      for (const [setUp, { more, less }] of needed.stops)
        for (const size of [more, less === null ? null : -less])
          if (size !== null)
            expect(share(errorsOf("axial", size, (own) => own === setUp))).toBeCloseTo(0.5, 6);
    });
  });
