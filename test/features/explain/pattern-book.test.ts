import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { PATTERN_SIZES, patternBook } from "../../../src/features/explain/pattern-book.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { elementsOf, writtenIn } from "../../render/svg-elements.js";

const job = loadJob(resolve(import.meta.dirname, "../../../data/alcove-screen"));
const book = patternBook(job);
const pageOf = (name: string) => book.find((page) => page.name === name)!;
const worst = (name: string): number => pageOf(name).prediction.widestGap;

describe("the pattern book", () => {
  it("has a page of its own name for every cause, too much of it and too little", () => {
    expect(new Set(book.map(({ name }) => name)).size).toBe(book.length);
    expect(book).toHaveLength(2 * (3 + 4 + 2 + 5) + 6);
    for (const { title, signature } of book) {
      expect(title).toMatch(/^[A-Z]/);
      expect(signature).toMatch(/^(Open|No gap)/);
    }
  });

  // Closed form: a point sharper by δ opens each heel by its face's length × tan δ, to first order K/(K + 1) of it; length (t/2)/cos J.
  it("opens the heels of a sharp point by its face's length × tan δ, and nothing is pressed", () => {
    const { prediction, signature } = pageOf("ramp-of-point-67-sharp");
    const face = job.strip / 2 / Math.cos((67.5 * Math.PI) / 180);
    expect(prediction.widestGap / (face * Math.tan(Math.PI / 180))).toBeCloseTo(1, 2);
    expect(prediction.deepestPress).toBeLessThan(0.001);
    expect(signature).toContain("the heels of the hinge points");
  });

  it("shows that a blunt point is not its mirror image: it acts as a piece that is too long", () => {
    const blunt = pageOf("ramp-of-point-67-blunt").prediction;
    expect(blunt.deepestPress).toBeGreaterThan(0.05);
    expect(blunt.widestGap).toBeLessThan(worst("ramp-of-point-67-sharp") / 2);
  });

  it("has long stops press what short ones open, nearly by as much", () => {
    for (const stop of ["diagonal-end", "hinge-mitre", "key-end"]) {
      const [long, short] = ["long", "short"].map((word) => pageOf(`stop-of-${stop}-${word}`).prediction);
      expect(long!.deepestPress / short!.widestGap).toBeCloseTo(1, 0);
      expect(long!.widestGap).toBeLessThan(0.01);
    }
  });

  // e = ∓(dt/2)·tan J: on the long side thick strips come out short, on the short side long.
  it("turns thick stock into short pieces or long ones by where the fence bears", () => {
    const [centred, long, short] = ["centred", "long-side", "short-side"].map(
      (fence) => pageOf(`stock-thick-${fence}`).prediction,
    );
    expect(long!.widestGap).toBeGreaterThan(2 * long!.deepestPress + 0.01);
    expect(short!.deepestPress).toBeGreaterThan(centred!.deepestPress);
    expect(short!.widestGap).toBeLessThan(0.01);
  });

  it("opens the diagonal one way and presses it the other when the grid is racked", () => {
    expect(pageOf("grid-racked-clockwise").signature).toMatch(/^Open: the diagonal's ends/);
    expect(pageOf("grid-racked-counter-clockwise").signature).toMatch(/Pressed: the diagonal's ends/);
  });

  it("names only what the prediction has: the largest gap and press of a page stand in its signature", () => {
    for (const { signature, prediction, name } of book) {
      for (const size of [prediction.widestGap, prediction.deepestPress]) {
        if (size > 0.02) expect(signature, name).toContain(`(${size.toFixed(3)} mm)`);
      }
    }
  });

  it("draws every page with title, description and magnification", () => {
    for (const name of ["ramp-of-point-67-sharp", "stop-of-hinge-seat-deep", "grid-racked-clockwise"]) {
      const page = pageOf(name);
      const drawing = page.draw({ width: 390 });
      expect(elementsOf(drawing, "title")[0]?.text).toBe(page.title);
      expect(elementsOf(drawing, "desc")[0]?.text).toContain(page.signature);
      expect(writtenIn(drawing).join()).toMatch(/movements drawn × \d+/);
    }
  });
});

describe("the pattern book of a job with a depth", () => {
  const depth = 12;
  const deep = patternBook({ ...job, depth });
  const lean = (name: string) => deep.find((page) => page.name === name)!;

  it("has the same pages and one for each ramp that leans, either way", () => {
    expect(deep.slice(0, book.length).map(({ name }) => name)).toEqual(book.map(({ name }) => name));
    for (const [i, { prediction }] of book.entries())
      expect(deep[i]!.prediction.widestGap).toBe(prediction.widestGap);
    expect(deep.slice(book.length).map(({ name }) => name)).toEqual([
      ...["lean-of-point-45-front", "lean-of-point-45-back"],
      ...["lean-of-point-67-front", "lean-of-point-67-back"],
      ...["lean-of-bevel-22-front", "lean-of-bevel-22-back"],
    ]);
  });

  // Closed form: a diagonal between two corners cannot give way, so its ends are off by ∓λ·d/2; both mitre faces lean, so front and back of a mitre differ by 2·λ·d.
  it("opens at one side what it presses at the other", () => {
    const turn = PATTERN_SIZES.lean * depth;
    const ends = lean("lean-of-point-45-front").prediction.probes.filter(({ joint }) =>
      joint.startsWith("diagonal."),
    );
    expect(ends).toHaveLength(16);
    for (const { side, gap } of ends) expect(gap / (turn / 2)).toBeCloseTo(side === "front" ? -1 : 1, 2);
    const mitre = lean("lean-of-bevel-22-back").prediction.probes.filter(
      ({ joint, at }) => joint === "hinge-1.end-right|hinge-2.end-left" && at === "toe",
    );
    expect(mitre.map(({ side }) => side)).toEqual(["front", "back"]);
    expect(mitre[0]!.gap - mitre[1]!.gap).toBeCloseTo(2 * turn, 2);
    expect(lean("lean-of-bevel-22-front").signature).toMatch(
      /^At the front: no gap over 0\.020 mm\. Pressed: the mitres.* At the back: open: the mitres/,
    );
  });

  it("has the second cut lean the other way where the strip is rolled over for it", () => {
    const rolled = patternBook({
      ...job,
      depth,
      jigs: job.jigs.map((jig) => ({ ...jig, lean: { priorMean: 0, priorSd: 0.001, rolled: true } })),
    });
    const { probes } = rolled.find(({ name }) => name === "lean-of-bevel-22-front")!.prediction;
    // Of two mitre faces one is cut facing right and one facing left: leaning opposite ways they fit.
    for (const { joint, gap } of probes)
      if (joint === "hinge-1.end-right|hinge-2.end-left") expect(Math.abs(gap)).toBeLessThan(0.02);
  });
});
