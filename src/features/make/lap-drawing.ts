import { type Vec, vec } from "../../core/geometry.js";
import type { Job } from "../../model/job/job.js";
import { type ChartOptions, plotWidth } from "../../render/charts/chart-spec.js";
import { levelDimension } from "../../render/drafting.js";
import type { Content } from "../../render/html.js";
import { pieceLength } from "../../render/shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../../render/style.js";
import {
  type Block,
  type Drawing,
  framedDrawing,
  label,
  line,
  polygon,
  rect,
  textBlock,
} from "../../render/svg.js";
import { fittedLines } from "../../render/text-layout.js";
import type { GridLaps, LapPlan } from "./lap-plan.js";
import { lapShort, slotText, spacers, sumText } from "./lap-sentences.js";

/** Room beside a strip for its ends' dimensions, px. */
const MARGIN = 10;
const WOOD = { fill: PALETTE.wood, stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };
const SLOT = { fill: PALETTE.grid, stroke: PALETTE.woodEdge, "stroke-width": STROKE.hair };
const SOLID = { fill: PALETTE.earlierPale, stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };

/**
 * The strips of a grid with their laps to scale, the sum that they must make, and the sled with its stop and spacers, or its key.
 *
 * @example
 * lapDrawing(laps, job).svg.startsWith("<svg") // true
 */
export function lapDrawing(laps: GridLaps, job: Job, options: ChartOptions = {}): Drawing {
  const room = plotWidth(options.width);
  const { units } = job;
  const title = options.title ?? "The laps of the grid, and the sled";
  const notes = [
    "Each strip lies with the end that its laps are counted from on the left. Shaded: the laps, as they are seen from the front.",
  ];
  const listed = laps.strips.map((plan) => `${plan.name}: ${lapShort(plan, units)}; ${sumText(plan, units)}`);
  return framedDrawing({ title, notes, description: `${title}. ${listed.join(". ")}.` }, [
    ...laps.strips.map((plan) => stripBlock(plan, job, room)),
    ...laps.strips.slice(0, 1).map((plan) => sledBlock(plan, laps.way, job, room)),
  ]);
}

/** px. */
const LEAST_THICK = 9;

function stripBlock(plan: LapPlan, job: Job, room: number): Block {
  const { units, strip } = job;
  const px = (room - 2 * MARGIN) / plan.length;
  const thick = Math.max(LEAST_THICK, strip * px);
  const words = fittedLines(
    `${plan.name}, ${plan.count} of them: ${lapShort(plan, units)}`,
    room,
    SIZE.small,
  );
  const sum = fittedLines(`Sum: ${sumText(plan, units)}`, room, SIZE.small);
  const top = 15 * words.length + 30;
  const x = (mm: number): number => MARGIN + mm * px;
  const at = (mm: number, y = top + thick): Vec => vec(x(mm), y);
  const [first = 0] = plan.places;
  const below = top + thick;
  const dimension = (from: number, to: number, mm: number): Content =>
    levelDimension(at(from, top), at(to, top), top - 12, { letter: "", size: pieceLength(mm, units) });
  const more = plan.spacing === null ? [] : [dimension(first, first + plan.spacing, plan.spacing)];
  const last = plan.places.at(-1) ?? 0;
  return {
    width: room,
    height: below + 8 + 15 * sum.length,
    content: [
      textBlock(words, { size: SIZE.small, weight: "bold" }, 15).content,
      rect(x(0), top, plan.length * px, thick, WOOD),
      plan.places.flatMap((place) => slots(plan, place, { x, top, thick })),
      dimension(0, first, first),
      more,
      plan.places.length > 1 ? dimension(last, plan.length, plan.rest) : "",
      sum.map((text, i) => label(text, vec(0, below + 17 + 15 * i), { size: SIZE.small })),
    ],
  };
}

/** A lap seen from the front: a band across the strip, leaning either way where strips cross at 60°. */
function slots(
  { along, crossing }: LapPlan,
  place: number,
  { x, top, thick }: { readonly x: (mm: number) => number; readonly top: number; readonly thick: number },
): Content[] {
  const half = Math.max(1, (x(along) - x(0)) / 2);
  const lean = thick / Math.tan(crossing) / 2;
  const band = (way: number): Content =>
    polygon(
      [
        vec(x(place) - half - way * lean, top + thick),
        vec(x(place) + half - way * lean, top + thick),
        vec(x(place) + half + way * lean, top),
        vec(x(place) - half + way * lean, top),
      ],
      SLOT,
    );
  return lean < 0.01 ? [band(0)] : [band(1), band(-1)];
}

/** px. */
const SLED = { thick: 20, stop: 16, blade: 34 } as const;

/** The sled as it stands for the first lap: a stop with spacers, or for the second lap a key in the first. */
function sledBlock(plan: LapPlan, way: GridLaps["way"], job: Job, room: number): Block {
  const { units } = job;
  const words = fittedLines(
    way === "stop"
      ? `The sled, set for the first lap of ${plan.name}: stop, ${spacers(plan.places.length - 1)}, strip`
      : `The sled, set for the second lap of ${plan.name}: the first lap lies over the key`,
    room,
    SIZE.small,
  );
  const top = 15 * words.length + 52;
  const size = (mm: number) => ({ letter: "", size: pieceLength(mm, units) });
  const head = textBlock(words, { size: SIZE.small, weight: "bold" }, 15).content;
  const under = fittedLines(`Each ${slotText(plan, units)}.`, room, SIZE.small);
  const below = under.map((text, i) =>
    label(text, vec(0, top + SLED.thick + 20 + 15 * i), { size: SIZE.small }),
  );
  const height = top + SLED.thick + 12 + 15 * under.length;
  const last = plan.places.at(-1) ?? 0;
  const first = plan.places[0] ?? 0;
  const spacing = plan.spacing ?? 0;
  const blade = (middle: number, along: number): Content => [
    rect(middle - along / 2, top - 6, along, SLED.thick + 6, { fill: PALETTE.ink }),
    label("blade", vec(middle + along / 2 + 4, top - 8), { size: SIZE.small, halo: PALETTE.paper }),
  ];
  if (way === "indexed") {
    const px = (room - 2 * MARGIN) / (first + 2 * Math.max(spacing, plan.along));
    const x = (mm: number): number => MARGIN + mm * px;
    const along = Math.max(3, plan.along * px);
    const at = (mm: number): Vec => vec(x(mm), top);
    return {
      width: room,
      height,
      content: [
        head,
        rect(x(0), top, room - 2 * MARGIN, SLED.thick, WOOD),
        rect(x(first) - along / 2, top - 6, along, SLED.thick + 12, SOLID),
        label("key", vec(x(first) - along / 2 - 4, top - 8), { size: SIZE.small, anchor: "end" }),
        plan.spacing === null ? "" : blade(x(first + spacing), along),
        plan.spacing === null ? "" : levelDimension(at(first), at(first + spacing), top - 26, size(spacing)),
        below,
      ],
    };
  }
  const px = (room - 2 * MARGIN - SLED.stop) / (last + Math.min(spacing || last, plan.rest));
  const x = (mm: number): number => MARGIN + SLED.stop + mm * px;
  const along = Math.max(3, plan.along * px);
  const at = (mm: number): Vec => vec(x(mm), top);
  const end = last - first;
  return {
    width: room,
    height,
    content: [
      head,
      rect(x(0) - SLED.stop, top - 6, SLED.stop, SLED.thick + 12, SOLID),
      plan.places.slice(1).map((_, i) => rect(x(i * spacing), top, spacing * px, SLED.thick, SOLID)),
      rect(x(end), top, room - MARGIN - x(end), SLED.thick, WOOD),
      line(vec(x(end), top - 3), vec(x(end), top + SLED.thick + 3), {
        stroke: PALETTE.ink,
        "stroke-width": STROKE.mark,
      }),
      blade(x(last), along),
      levelDimension(at(0), at(last), top - 36, size(last)),
      plan.spacing === null ? "" : levelDimension(at(0), at(spacing), top - 14, size(spacing)),
      below,
    ],
  };
}
