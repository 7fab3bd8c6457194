import { DEGREE } from "../../core/geometry.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { canRack } from "../../model/cell/cell-errors.js";
import type { Jig, SetUp } from "../../model/shop.js";
import { shopSources } from "../../model/sources.js";
import { capitalised, sourceText } from "../../render/source-text.js";

/** What the page to play with is told of a job: plain data, mm and rad. */
export interface PlayJob {
  readonly title: string;
  readonly units: LengthUnit;
  readonly opening: number;
  readonly strip: number;
  /** The cell at nominal size: pieces, walls, and the order in which they are put in; with a depth its ramps may lean, and it is read at front and back. */
  readonly arrangement: Arrangement;
  readonly pressRatio: number;
  readonly jigs: readonly Jig[];
  readonly setUps: readonly SetUp[];
  readonly limits: { readonly gap: number; readonly snug: number };
}

/** What sliders are grouped under, in the order of the page. */
export const GROUPS = ["Ramps", "Stops", "Stock and grid", "Ramps out of square to their beds"] as const;

/** Something that can be off, and how far the page lets it be. */
export interface Slider {
  readonly id: string;
  readonly label: string;
  readonly group: (typeof GROUPS)[number];
  readonly measure: "angle" | "length";
  /** How far it goes either way, and its steps, in degrees or mm. */
  readonly most: number;
  readonly step: number;
  /** The same of a length in thou, for a shop in inches. */
  readonly thou?: { readonly most: number; readonly step: number };
  /** What a size above zero is called, and one below. */
  readonly says: readonly [more: string, less: string];
}

const RAMP = { measure: "angle", most: 2, step: 0.05 } as const;
const LEAN = {
  measure: "angle",
  most: 1,
  step: 0.05,
  says: ["out at the front", "out at the back"],
} as const;
const STOP = { measure: "length", most: 0.5, step: 0.01, thou: { most: 20, step: 0.5 } } as const;
const THICKNESS = { measure: "length", most: 0.3, step: 0.01, thou: { most: 12, step: 0.5 } } as const;
const OPENING = { measure: "length", most: 0.6, step: 0.02, thou: { most: 24, step: 1 } } as const;
const MM_PER_THOU = 0.0254;

const RACKING: Slider = {
  id: "racking",
  group: "Stock and grid",
  label: "Grid racked",
  measure: "angle",
  most: 0.5,
  step: 0.01,
  says: ["counter-clockwise", "clockwise"],
};

/** A slider for every ramp, every stop, the thickness, every lean of a cell with a depth, the racking of a square grid and the opening: sources of the shop in their order, then the grid. */
export function slidersOf(job: PlayJob): Slider[] {
  const sources = shopSources(playShop(job)).map(({ id: source }, i): Slider => {
    const id = `source-${i}`;
    const label = capitalised(sourceText(source));
    if (source.kind === "ramp")
      return {
        id,
        group: "Ramps",
        label,
        ...RAMP,
        says: ["sharper", "blunter"],
      };
    if (source.kind === "stop") return { id, group: "Stops", label, ...STOP, says: ["longer", "shorter"] };
    if (source.kind === "lean") return { id, group: GROUPS[3], label, ...LEAN };
    return {
      id,
      group: "Stock and grid",
      label,
      ...THICKNESS,
      says: ["thicker", "thinner"],
    };
  });
  return [
    ...sources,
    ...(canRack(job.arrangement) ? [RACKING] : []),
    {
      id: "opening",
      group: "Stock and grid",
      label: "Clear side of the opening",
      ...OPENING,
      says: ["smaller", "larger"],
    },
  ];
}

/** The job's shop with every ramp and stop open to error, whatever it is trusted to, and every lean where the cell has a depth. */
export const playShop = ({ jigs, setUps, arrangement: { depth } }: PlayJob) => ({
  jigs: jigs.map(({ lean, ...jig }) => ({
    ...jig,
    priorSd: 1,
    priorMean: 0,
    ...(depth === undefined ? {} : { lean: { priorMean: 0, priorSd: 1, rolled: lean?.rolled ?? false } }),
  })),
  setUps: setUps.map((setUp) => ({
    ...setUp,
    stop: setUp.stop && { ...setUp.stop, priorSd: 1, priorMean: 0 },
  })),
  batchThickness: 1,
  biases: [],
});

/** What a slider stands at, in rad or mm. */
export const sizeOf = ({ measure }: Pick<Slider, "measure">, value: number): number =>
  measure === "angle" ? value * DEGREE : value;

/** How a slider counts in a unit: how far it goes either way, its steps, and degrees or mm in one of what it counts. */
export interface SliderScale {
  readonly most: number;
  readonly step: number;
  readonly size: number;
}

export const scaleOf = ({ most, step, thou }: Slider, unit: LengthUnit): SliderScale =>
  unit === "in" && thou ? { ...thou, size: MM_PER_THOU } : { most, step, size: 1 };

/** How far a slider may stand from 0, in degrees or mm, whichever unit it is moved in. */
export const furthest = (slider: Slider): number =>
  Math.max(slider.most, (slider.thou?.most ?? 0) * MM_PER_THOU);
