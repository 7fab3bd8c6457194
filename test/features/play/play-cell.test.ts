import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { cellSvg, DRAWING } from "../../../src/features/play/cell-svg.js";
import { jobToPlay } from "../../../src/features/play/live-page.js";
import {
  MOST_TRIMMED,
  play,
  playCell,
  pressOf,
  trimInTurn,
  trimPiece,
} from "../../../src/features/play/play-cell.js";
import { sizeOf, slidersOf } from "../../../src/features/play/play-job.js";
import { jointRows, sliderTexts, verdictText } from "../../../src/features/play/play-text.js";
import { cellSpecimen, jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { jointNames } from "../../../src/model/cell/joint-names.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { PALETTE } from "../../../src/render/style.js";
import { cornersOf, elementsOf } from "../../render/svg-elements.js";

const demo = loadJob(resolve(import.meta.dirname, "../../../data/alcove-screen"));
const job = jobToPlay(demo);
const played = playCell(job);
const sliders = slidersOf(job);
const at = (wanted: Readonly<Record<string, number>>): number[] =>
  sliders.map((slider) => sizeOf(slider, wanted[slider.label] ?? 0));
const LIMITS = {
  gapLimit: job.limits.gap,
  snugLimit: job.limits.snug,
  unit: "mm",
  magnification: null,
} as const;

describe("a cell to play with", () => {
  it("has a slider for every ramp, stop, the thickness, the racking and the opening", () => {
    expect(sliders.map(({ label }) => label)).toEqual([
      "Ramp of point-45",
      "Ramp of point-67",
      "Ramp of bevel-22",
      "Stop of diagonal-end",
      "Stop of hinge-mitre",
      "Stop of hinge-seat",
      "Stop of key-end",
      "Thickness of the batch",
      "Grid racked",
      "Clear side of the opening",
    ]);
    expect(new Set(sliders.map(({ id }) => id)).size).toBe(sliders.length);
    for (const { most, step } of sliders) expect(most / step).toBeCloseTo(Math.round(most / step), 9);
  });

  it("has the gaps of the job's own cell under the same sources", () => {
    const sizes = at({ "Ramp of point-67": -0.6, "Stop of key-end": 0.12, "Thickness of the batch": 0.05 });
    const { cell, matrix } = cellSpecimen(demo);
    const columns = jobSources(demo).length;
    const errors = new Float64Array(matrix.length / columns).map((_, row) =>
      sizes.slice(0, 8).reduce((sum, size, c) => sum + size * matrix[row * columns + c]!, 0),
    );
    const { probes } = predictCell(cell, errors, demo);
    for (const [i, { gap }] of play(played, sizes).prediction.probes.entries()) {
      expect(gap).toBeCloseTo(probes[i]!.gap, 12);
    }
  });

  it("shortens what is trimmed as a stop set shorter does", () => {
    const pieces = ["key-1", "key-2"];
    const trims = Object.fromEntries(pieces.map((piece) => [piece, 0.1]));
    const trimmed = play(played, at({ "Stop of key-end": 0.1 }), trims).prediction;
    expect(trimmed.widestGap).toBeLessThan(1e-9);
    expect(trimmed.deepestPress).toBeLessThan(1e-9);
  });
});

describe("a cell with a depth to play with", () => {
  const deep = jobToPlay(loadJob(resolve(import.meta.dirname, "../../../data/leaning-ramp")));
  const deepCell = playCell(deep);
  const deepSliders = slidersOf(deep);
  const LEAN = "Lean of bevel-22";
  const leaning = (degrees: number) =>
    play(
      deepCell,
      deepSliders.map((slider) => sizeOf(slider, slider.label === LEAN ? degrees : 0)),
    );
  const shown = (rows: string): number[] =>
    [...rows.matchAll(/data-gap="([^"]+)"/g)].map(([, gap]) => Number(gap));

  it("has a slider for every lean; one without a depth has none", () => {
    const leans = deepSliders.filter(({ label }) => label.startsWith("Lean of"));
    expect(leans.map(({ label }) => label)).toEqual(["Lean of point-45", "Lean of point-67", LEAN]);
    expect(sliderTexts(leans[2]!, -0.4, "mm").words).toBe("0.40° out at the back");
    expect(sliders.filter(({ label }) => label.startsWith("Lean of"))).toEqual([]);
    expect(slidersOf(jobToPlay()).filter(({ label }) => label.startsWith("Lean of"))).toHaveLength(3);
  });

  it("opens at the back what it presses at the front: mitres by 2·λ·d between them", () => {
    const { prediction } = leaning(0.4);
    const [front, back] = (["front", "back"] as const).map((side) =>
      shown(String(jointRows(prediction, deepCell, "mm", side))),
    );
    const mitre = deepCell.cell.joints.findIndex(({ name }) => name === "hinge-1.end-right|hinge-2.end-left");
    // Both faces lean outward at the front, each by λ·d/2 (docs/model.md, through the depth); the turn of the pieces alters it by little.
    expect(back![2 * mitre]! - front![2 * mitre]!).toBeCloseTo((2 * 0.4 * Math.PI * 12) / 180, 3);
    expect(prediction.widestGap).toBe(Math.max(...back!));
    expect(verdictText(prediction, deepCell, "mm")).toContain("back, of hinge");
  });

  it("turns its sides over with its sign", () => {
    const [one, other] = [leaning(0.4), leaning(-0.4)].map(({ prediction }) => prediction);
    const front = shown(String(jointRows(one!, deepCell, "mm", "front")));
    const back = shown(String(jointRows(other!, deepCell, "mm", "back")));
    for (const [i, gap] of front.entries()) expect(gap).toBeCloseTo(back[i]!, 6);
  });

  it("is drawn at either side, at one magnification", () => {
    const poor = leaning(0.4);
    const [front, back] = (["front", "back"] as const).map((side) =>
      cellSvg(deepCell.cell, poor, { ...LIMITS, side }),
    );
    expect(front!.magnification).toBe(back!.magnification);
    expect(String(back!.inside)).toContain(`gap ${poor.prediction.widestGap.toFixed(2)} mm`);
    expect(String(front!.inside)).not.toContain(">gap ");
  });

  it("is trimmed until neither side presses too deep", () => {
    const long = deepSliders.map((slider) =>
      sizeOf(slider, slider.label === LEAN ? 0.2 : slider.label === "Stop of diagonal-end" ? 0.3 : 0),
    );
    const { goesIn, trims } = trimPiece(deepCell, long, {}, "diagonal", 0.02);
    expect(goesIn).toBe(true);
    const { probes } = play(deepCell, long, trims).prediction;
    const own = probes.filter(({ joint }) => joint.includes("diagonal"));
    expect(own.some(({ side }) => side === "back")).toBe(true);
    for (const { gap } of own) expect(-gap).toBeLessThanOrEqual(deep.limits.snug);
  });
});

describe("trimming", () => {
  const long = at({ "Stop of diagonal-end": 0.3 });

  it("ends when the piece just goes in: a step less would not do", () => {
    const { trims, steps, press, goesIn } = trimPiece(played, long, {}, "diagonal", 0.02);
    expect(goesIn).toBe(true);
    expect(trims.diagonal).toBeCloseTo(0.02 * steps, 9);
    expect(press).toBeLessThanOrEqual(job.limits.snug);
    const before = play(played, long, { diagonal: 0.02 * (steps - 1) }).prediction.probes;
    expect(pressOf(played.cell, before, "diagonal")).toBeGreaterThan(job.limits.snug);
  });

  it("takes one step at a time on request, and none off what goes in", () => {
    expect(trimPiece(played, long, {}, "diagonal", 0.05, 1)).toMatchObject({
      steps: 1,
      goesIn: false,
      trims: { diagonal: 0.05 },
    });
    expect(trimPiece(played, at({}), {}, "diagonal", 0.05)).toMatchObject({ steps: 0, trims: {} });
  });

  it("gives up on a piece that no trimming lets in", () => {
    const small = at({ "Clear side of the opening": 0.6 });
    const { goesIn, trims } = trimPiece(played, small, {}, "key-1", 0.05);
    expect(goesIn).toBe(false);
    expect(trims["key-1"]).toBeLessThanOrEqual(MOST_TRIMMED + 1e-9);
  });

  it("lets in every piece in turn", () => {
    const poor = at({ "Stop of diagonal-end": 0.2, "Stop of hinge-mitre": 0.2, "Stop of key-end": 0.2 });
    const { goesIn, trims } = trimInTurn(played, poor, {}, 0.01);
    expect(goesIn).toBe(true);
    expect(play(played, poor, trims).prediction.deepestPress).toBeLessThanOrEqual(job.limits.snug);
  });
});

describe("the live drawing", () => {
  const poor = play(played, at({ "Ramp of point-67": 1.5, "Stop of hinge-mitre": 0.4 }));

  it("has every piece, and each stretch of a joint by colour and by a second sign", () => {
    const { inside: drawn, magnification } = cellSvg(played.cell, poor, LIMITS);
    const inside = String(drawn);
    for (const { name } of played.cell.pieces) expect(inside).toContain(`>${name}</text>`);
    expect(inside).not.toMatch(/NaN|undefined|Infinity/);
    expect(magnification).toBeGreaterThan(1);
    // Open: a dashed rim. Pressed: a cross. Closed: a line.
    expect(inside).toMatch(/stroke-dasharray/);
    expect(inside).toMatch(/<path d="M/);
    expect(inside).toContain(`press ${poor.prediction.deepestPress.toFixed(2)} mm`);
  });

  it("keeps to its frame, at the magnification asked for", () => {
    const { inside, magnification } = cellSvg(played.cell, play(played, at({})), {
      ...LIMITS,
      magnification: 5,
    });
    expect(magnification).toBe(5);
    const pieces = elementsOf(inside, "polygon").filter(({ attributes }) => attributes.fill === PALETTE.wood);
    expect(pieces).toHaveLength(7);
    for (const { x, y } of pieces.flatMap(cornersOf)) expect(Math.max(x, y)).toBeLessThan(DRAWING);
  });

  it("puts what it shows into words and rows", () => {
    const { prediction } = poor;
    expect(verdictText(prediction, played, "mm")).toContain(
      `Widest gap ${prediction.widestGap.toFixed(3)} mm at the`,
    );
    expect(verdictText(prediction, played, "mm")).toContain("The cell gaps");
    const rows = String(jointRows(prediction, played, "in"));
    expect(rows.match(/<tr>/g)).toHaveLength(22);
    const gaps = [...rows.matchAll(/data-gap="([^"]+)"/g)].map(([, gap]) => Number(gap));
    expect(gaps).toEqual(prediction.probes.map(({ gap }) => gap));
    expect(rows).toContain("thou pressed");
    // As in the drawing of names, not as in trials.csv.
    for (const name of jointNames(played.cell).short) expect(rows).toContain(`<th scope="row">${name}</th>`);
    expect(rows).not.toContain("start-left");
  });

  it("says what a slider stands at in the unit chosen", () => {
    const stop = sliders.find(({ label }) => label === "Stop of key-end")!;
    expect(sliderTexts(stop, -0.127, "in")).toEqual({ short: "−5.0 thou", words: "5.0 thou shorter" });
    expect(sliderTexts(sliders[0]!, 0.35, "mm")).toEqual({ short: "+0.35°", words: "0.35° sharper" });
    expect(sliderTexts(sliders[0]!, 0, "mm").words).toBe("nothing off");
  });
});
