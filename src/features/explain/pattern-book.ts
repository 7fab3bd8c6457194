import { at, present } from "../../core/numeric/dense.js";
import { cellSpecimen, type Specimen } from "../../inference/likelihood/specimen.js";
import { type Cell, type Joint, PANEL_SIDES, type PanelSide } from "../../model/cell/cell.js";
import { FENCES, type Job } from "../../model/job/job.js";
import type { Fence } from "../../model/shop.js";
import { type CellPrediction, predictCell } from "../../physics/predict/predict-cell.js";
import { cellDrawing } from "../../render/cell/cell-drawing.js";
import type { ChartOptions } from "../../render/charts/chart-spec.js";
import { drawChart } from "../../render/charts/draw-chart.js";
import type { JobPicture } from "../../render/pictures.js";
import { angleText, smallLength, smallUnit } from "../../render/shop-numbers.js";
import { capitalised, sourceText } from "../../render/source-text.js";
import type { Drawing } from "../../render/svg.js";
import { type Cause, singleCauses } from "./causes.js";

/** One error of a cell and its appearance, computed by the model. */
export interface PatternPage {
  /** Its name in `sukima draw`: `ramp-of-point-45-sharp`. */
  readonly name: string;
  readonly title: string;
  /** Which kinds of joints open and which are pressed. */
  readonly signature: string;
  /** rad or mm. */
  readonly size: number;
  readonly cell: Cell;
  /** The cell's elementary errors, rad and mm (layout of `errorLayout`). */
  readonly errors: Float64Array;
  readonly prediction: CellPrediction;
  readonly draw: (options?: ChartOptions) => Drawing;
}

/** Error sizes that the book draws, rad and mm: large enough to be distinguished at a glance. */
export const PATTERN_SIZES = {
  ramp: Math.PI / 180,
  lean: (0.5 * Math.PI) / 180,
  stop: 0.2,
  thickness: 0.15,
  racking: (0.2 * Math.PI) / 180,
  /** Error of the opening as a share of its clear side. */
  opening: 0.2,
  offCentre: 0.15,
} as const;

/** Gaps and presses of at least this size are mentioned, mm: narrow strips of shim stock can detect them. */
export const WORTH_A_WORD = 0.02;

/**
 * A page for every single cause in either sense, without cut-to-cut scatter; one for thick and thin stock for every rule of the fence;
 * and, if the job gives a depth, one for every leaning ramp.
 *
 * @example
 * patternBook(job)[0].title.length > 0 // true
 */
export function patternBook(job: Job): PatternPage[] {
  // The book also contains sources with a prior standard deviation of 0; each page has only one error, so nothing else leans.
  const open: Job = {
    ...job,
    rounds: [],
    grid: { offset: 1, turn: 1 },
    batchThickness: 1,
    asCut: null,
    ...unsure(job),
  };
  const specimen = cellSpecimen(open);
  const causes = singleCauses(open, specimen, { offCentre: 1 });
  return [
    ...causes
      .filter(({ id }) => id.kind !== "thickness")
      .flatMap((cause) => [1, -1].map((sign) => page(open, specimen, cause, sign))),
    ...thickStock(open),
    ...leaningRamps(open, job),
  ];
}

const unsure = ({ jigs, setUps }: Job): Pick<Job, "jigs" | "setUps"> => ({
  jigs: jigs.map(({ lean: _, ...jig }) => ({ ...jig, priorSd: 1 })),
  setUps: setUps.map((setUp) => ({ ...setUp, stop: setUp.stop && { ...setUp.stop, priorSd: 1 } })),
});

/** Thick and thin strips, for each rule of where the jigs' fences bear. */
function thickStock(job: Job): PatternPage[] {
  return FENCES.flatMap((fence) => {
    const fenced: Job = { ...job, jigs: job.jigs.map((jig) => ({ ...jig, fence })) };
    const specimen = cellSpecimen(fenced);
    const thickness = present(singleCauses(fenced, specimen).find(({ id }) => id.kind === "thickness"));
    return [1, -1].map((sign) => page(fenced, specimen, { ...thickness, fence }, sign));
  });
}

/** Each ramp leaning, on strips with the job's depth; none if the job gives no depth. */
function leaningRamps(open: Job, { jigs, depth }: Pick<Job, "jigs" | "depth">): PatternPage[] {
  if (depth === undefined) return [];
  const leaning: Job = {
    ...open,
    jigs: open.jigs.map((jig, i) => ({
      ...jig,
      lean: { priorMean: 0, priorSd: 1, rolled: at(jigs, i).lean?.rolled ?? false },
    })),
  };
  const specimen = cellSpecimen(leaning);
  return singleCauses(leaning, specimen)
    .filter(({ id }) => id.kind === "lean")
    .flatMap((cause) => [1, -1].map((sign) => page(leaning, specimen, cause, sign)));
}

function page(job: Job, specimen: Specimen, cause: Cause, sign: number): PatternPage {
  const { cell } = specimen;
  const size = sign * roundIn(job.units, cause, sizeOf(cause));
  const errors = cause.on(specimen).map((slope) => size * slope);
  const prediction = predictCell(cell, errors, job);
  const length = (mm: number): string => smallLength(mm, job.units);
  const by = cause.measure === "angle" ? angleText(Math.abs(size)) : length(Math.abs(size));
  const { name, title } = pageTitle(cause, sign > 0, by);
  const signature = signatureText(cell, prediction, { least: WORTH_A_WORD, length });
  const draw = (options: ChartOptions = {}): Drawing =>
    cellDrawing(
      { cell, errors, prediction },
      {
        title,
        ...options,
        also: signature,
        unit: smallUnit(job.units),
        gapLimit: job.limits.gap,
        snugLimit: Math.min(WORTH_A_WORD, job.limits.snug),
      },
    );
  return { name, title, signature, size, cell, errors, prediction, draw };
}

function sizeOf({ id: { kind }, measure }: Cause): number {
  if (kind === "ramp") return PATTERN_SIZES.ramp;
  if (kind === "lean") return PATTERN_SIZES.lean;
  if (kind === "grid") return measure === "angle" ? PATTERN_SIZES.racking : PATTERN_SIZES.opening;
  if (kind === "off-centre") return PATTERN_SIZES.offCentre;
  return kind === "thickness" ? PATTERN_SIZES.thickness : PATTERN_SIZES.stop;
}

/** A length rounded to whole thou if the shop works in inches. */
function roundIn(units: Job["units"], { measure }: Cause, size: number): number {
  return units === "in" && measure !== "angle" ? Math.round(size / THOU) * THOU : size;
}

const THOU = 0.0254;

/** Name and title of a page of the pattern book. `by` is the size without its sign. */
export function pageTitle(cause: Cause, more: boolean, by: string): { name: string; title: string } {
  const { id, says, fence } = cause;
  const { of } = id;
  const page = (word: string, title: string) => ({ name: `${slug(sourceText(id))}-${word}`, title });
  switch (id.kind) {
    case "ramp":
      return page(
        more ? "sharp" : "blunt",
        `${capitalised(sourceText(id))} cuts a point ${by} ${more ? "sharper" : "blunter"} than its label`,
      );
    case "lean":
      return page(
        more ? "front" : "back",
        `${capitalised(sourceText({ kind: "ramp", of: id.of }))} leaning ${by} outward at the ${more ? "front" : "back"}`,
      );
    case "grid":
      if (cause.measure === "angle") {
        const way = more ? "counter-clockwise" : "clockwise";
        return page(way, `Grid racked: upright strips turned ${by} ${way}`);
      }
      return {
        name: `opening-${more ? "small" : "large"}`,
        title: `Clear side of the opening ${by} too ${more ? "small" : "large"}`,
      };
    case "off-centre":
      return page(more ? "left" : "right", `Point of ${of} ${by} ${more ? "left" : "right"} of the middle`);
    case "thickness":
      return {
        name: `stock-${more ? "thick" : "thin"}-${fence ?? ""}`,
        title: `Strips ${by} too ${more ? "thick" : "thin"}, ${fence === undefined ? "as the job's fences bear" : FENCE_WORDS[fence]}`,
      };
    default: {
      if (says[1].startsWith("seat")) {
        const [word, text] = more ? ["shallow", "not deep enough"] : ["deep", "too deep"];
        return page(word, `${capitalised(sourceText(id))}: seat ${by} ${text}`);
      }
      const word = more ? "long" : "short";
      return page(word, `${capitalised(sourceText(id))}: pieces ${by} too ${word}`);
    }
  }
}

const FENCE_WORDS: Readonly<Record<Fence, string>> = {
  centred: "jigs that centre them",
  "long-side": "fences on the long side",
  "short-side": "fences on the short side",
};

const slug = (text: string): string => text.replaceAll(/[ .]+/g, "-");

type Places = readonly (readonly [test: (cell: Cell, joint: Joint) => boolean, name: string])[];

/** Groups of joints that have equal gaps in a square asanoha with one cause, in words. */
const SQUARE_ASANOHA: Places = [
  [(cell, joint) => groupOf(cell, joint).startsWith("diagonal."), "the diagonal's ends in their corners"],
  [
    (cell, joint) => groupOf(cell, joint) === "hinge.point" && mateOf(cell, joint) === "wall",
    "the hinge points along the walls",
  ],
  [(cell, joint) => groupOf(cell, joint) === "hinge.point", "the hinge points along the diagonal"],
  [(cell, joint) => groupOf(cell, joint) === "hinge.mitre", "the mitres between hinges"],
  [(cell, joint) => groupOf(cell, joint) === "key.start", "the keys in their corners"],
  [(cell, joint) => groupOf(cell, joint) === "key.end", "the keys in their seats"],
];

/** The same for any other pattern: joints whose cuts are made alike and whose mates are made alike. */
function placesOf(cell: Cell): Places {
  if (cell.name === "asanoha-square") return SQUARE_ASANOHA;
  const names = [...new Set(cell.joints.map((joint) => placeName(cell, joint)))];
  return names.map((name) => [(own, joint) => placeName(own, joint) === name, name]);
}

function placeName({ faces, pieces }: Cell, { first, mate }: Joint): string {
  const cuts = `the cuts ${at(faces, first).cut?.group ?? at(faces, first).name}`;
  const { kind, cut, body } = at(faces, mate);
  if (kind === "wall") return `${cuts} on the walls`;
  if (cut === undefined) return `${cuts} on the side of ${at(pieces, body).kind}`;
  return cut.group === at(faces, first).cut?.group ? `${cuts} on each other` : `${cuts} on ${cut.group}`;
}

const groupOf = ({ faces }: Cell, { first }: Joint): string => at(faces, first).cut?.group ?? "";
const mateOf = ({ faces }: Cell, { mate }: Joint): string => at(faces, mate).kind;

export interface SignatureOptions {
  /** Gaps and presses up to this are not mentioned, mm. */
  readonly least: number;
  readonly length: (mm: number) => string;
}

/** What is seen of a cell, by kinds of joints: `Open: the heels of the hinge points along the walls (0.12 mm). Pressed: …`; where it has a depth at the front, then at the back. */
export function signatureText(
  cell: Cell,
  prediction: Pick<CellPrediction, "probes">,
  options: SignatureOptions,
): string {
  if (cell.depth === undefined) return seenText(cell, prediction, undefined, options);
  return PANEL_SIDES.map(
    (side) => `At the ${side}: ${lowered(seenText(cell, prediction, side, options))}`,
  ).join(" ");
}

const lowered = (text: string): string => text.charAt(0).toLowerCase() + text.slice(1);

function seenText(
  cell: Cell,
  { probes }: Pick<CellPrediction, "probes">,
  side: PanelSide | undefined,
  { least, length }: SignatureOptions,
): string {
  const said = (sign: 1 | -1): string[] =>
    placesOf(cell)
      .flatMap(([belongs, name]) => {
        const names = new Set(cell.joints.filter((joint) => belongs(cell, joint)).map((joint) => joint.name));
        const own = probes.filter((probe) => names.has(probe.joint) && probe.side === side);
        const most = (end: "toe" | "heel"): number =>
          Math.max(...own.filter(({ at }) => at === end).map(({ gap }) => sign * gap));
        return endsText(name, most("toe"), most("heel"), least, length);
      })
      .sort((a, b) => b.size - a.size)
      .map(({ text }) => text);
  const [open, pressed] = [said(1), said(-1)];
  return [
    open.length > 0 ? `Open: ${open.join("; ")}.` : `No gap over ${length(least)}.`,
    pressed.length > 0 ? `Pressed: ${pressed.join("; ")}.` : `Nothing pressed over ${length(least)}.`,
  ].join(" ");
}

/** An end is mentioned if its gap is at least this share of that at the other end. */
const ALSO = 0.5;

function endsText(
  name: string,
  toe: number,
  heel: number,
  least: number,
  length: (mm: number) => string,
): { text: string; size: number }[] {
  const size = Math.max(toe, heel);
  if (size <= least) return [];
  const both = Math.min(toe, heel) >= ALSO * size;
  const where = both ? name : `the ${toe > heel ? "toes" : "heels"} of ${name}`;
  return [{ size, text: `${where} (${length(size)})` }];
}

/** The pages of a job's pattern book as pictures. */
export const patternPictures = (job: Job): JobPicture[] =>
  patternBook(job).map(({ name, title, draw }) => ({
    name,
    shows: title,
    needs: "job",
    draw: () => drawChart(draw()),
  }));
