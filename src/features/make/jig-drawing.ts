import { halfPlaneThrough, polygonOf, type Vec, vec } from "../../core/geometry.js";
import { facePlane, pieceFaces } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { clipPolygon } from "../../render/cell/labels.js";
import { type ChartOptions, plotWidth } from "../../render/charts/chart-spec.js";
import {
  angleArc,
  type DimensionText,
  levelDimension,
  sizeList,
  uprightDimension,
} from "../../render/drafting.js";
import type { Content } from "../../render/html.js";
import { angleText, pieceLength, stopLength } from "../../render/shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../../render/style.js";
import {
  type Block,
  circle,
  type Drawing,
  framedDrawing,
  label,
  line,
  polygon,
  rect,
  textBlock,
} from "../../render/svg.js";
import { fittedLines, textWidth } from "../../render/text-layout.js";
import { type JigPlan, longestStop, type StopPlan } from "./jig-plan.js";
import { FENCE_TEXT, type JigSizeKey, jigSizes } from "./jig-sizes.js";

/** Room beside the views for upright dimensions, px. */
const SIDE = 30;
/** Between one dimension line and the next, px. */
const LEVEL = 22;
/** px for a mm at most: a page holds the drawing. */
const LARGEST = 3.4;
/** Height of the relief between the wedge's feet, of the drawn leaf, and what the bed has beyond the groove's end, mm. */
const RELIEF = 1.2;
const LEAF = 0.8;
const BEYOND = 10;

const WOOD = { fill: PALETTE.wood, stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };
const BED = { fill: PALETTE.grid, stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };
const STICK = { fill: PALETTE.earlierPale, stroke: PALETTE.woodEdge, "stroke-width": STROKE.fine };
const HIDDEN = {
  stroke: PALETTE.quiet,
  "stroke-width": STROKE.hair,
  "stroke-dasharray": "4 3",
  fill: "none",
};
const BLADE = { stroke: PALETTE.ink, "stroke-width": STROKE.strong };

interface JigDrawingOptions extends ChartOptions {
  /** Whether the sizes are listed under the drawing; default true. */
  readonly list?: boolean;
}

/**
 * A jig to make: from the front, from above, the cut at a larger scale, the stick of each stop, and the sizes by their letters.
 *
 * @example
 * jigDrawing(plan, job).title // "Jig point-45: 45.00° from a square cut"
 */
export function jigDrawing(plan: JigPlan, job: Job, options: JigDrawingOptions = {}): Drawing {
  const room = plotWidth(options.width);
  const { units } = job;
  const title = options.title ?? `Jig ${plan.name}: ${angleText(plan.ramp)} from a square cut`;
  const sizes = jigSizes(plan, job);
  const short = (key: JigSizeKey): DimensionText | null => {
    const found = sizes.find((one) => one.key === key);
    return found === undefined ? null : { letter: found.letter, size: found.short };
  };
  const notes = [
    `For strips ${pieceLength(plan.strip, units)} thick. The face stands at ${angleText(plan.fromBed)} to the bed${plan.wedge.overhangs ? ", measured through the wood" : ""}. ${FENCE_TEXT[plan.fence]}`,
  ];
  const view = sideView(plan, room);
  const description =
    `${title}. ${notes.join(" ")} ${sizes.map(({ letter, size, what }) => `${letter} ${size}: ${what}`).join("; ")}. ${plan.stops.map((stop) => stickText(stop, units)).join(" ")}`.trim();
  return framedDrawing({ title, notes, description }, [
    heading("From the front; the strip lies in its groove", room),
    frontBlock(plan, view, short),
    heading("From above", room),
    topBlock(plan, view, short),
    heading("The cut, drawn larger", room),
    cutBlock(plan, room),
    ...(plan.stops.length === 0
      ? []
      : [
          heading("A stick for each stop, between the groove's end and the piece's tip", room),
          sticksBlock(plan, view, job),
        ]),
    ...((options.list ?? true) ? [sizeList(sizes, room)] : []),
  ]);
}

/** `Stick of hinge-mitre: 60.24 mm, for a piece 43.76 mm …` */
export const stickText = ({ setUp, stick, setting }: StopPlan, units: Job["units"]): string =>
  `Stick of ${setUp}: ${stopLength(stick, units)}, which leaves ${pieceLength(setting, units)} to the cut.`;

function heading(text: string, room: number): Block {
  const bold = (words: string, size: number): number => textWidth(words, size, "bold");
  return textBlock(fittedLines(text, room, SIZE.heading, bold), { size: SIZE.heading, weight: "bold" }, 16);
}

/** What both views share: mm along the strip from where the cut crosses its middle line, to px from the left. */
interface SideView {
  readonly room: number;
  readonly px: number;
  readonly x: (mm: number) => number;
  readonly left: number;
  readonly right: number;
}

function sideView(plan: JigPlan, room: number): SideView {
  const { bed, wedge, toe } = plan;
  const left = -bed.grooveToCut - BEYOND;
  const right =
    Math.max(toe + (wedge.overhangs ? wedge.run : 0), bedEnd(plan, -bed.thickness), bedEnd(plan, 0)) + 2;
  const px = Math.min(LARGEST, (room - 2 * SIDE) / (right - left));
  return { room, px, left, right, x: (mm) => SIDE + (mm - left) * px };
}

/** Where the face's line lies at a height over the groove's floor, mm; and where the bed ends there. */
const faceAt = ({ ramp, strip, wedge }: JigPlan, y: number): number =>
  (wedge.overhangs ? 1 : -1) * (y - strip / 2) * Math.tan(ramp);
const bedEnd = (plan: JigPlan, y: number): number => faceAt(plan, y) - plan.bed.setBack;

/** The middles of the wedge's feet, the toe's first, mm. */
const feetOf = ({ toe, foot, wedge, feet }: JigPlan): readonly [number, number] => {
  const first = toe - foot / 2;
  return [first, first - (feet ?? wedge.length - foot)];
};

/** The wedge from the front, over the groove's floor, mm: its feet on the bed and the relief between them. */
function wedgeOutline(plan: JigPlan): Vec[] {
  const { toe, wedge, bed, foot } = plan;
  const base = bed.groove;
  const back = toe - wedge.length;
  const [first, second] = feetOf(plan);
  return [
    vec(toe, base),
    vec(faceAt(plan, base + wedge.rise), base + wedge.rise),
    vec(back, base + wedge.rise),
    vec(back, base),
    vec(second + foot / 2, base),
    vec(second + foot / 2, base + RELIEF),
    vec(first - foot / 2, base + RELIEF),
    vec(first - foot / 2, base),
  ];
}

/** The piece that lies against a stop, or where there is none the strip, with its cut at the face; mm over the groove's floor. */
function workOutline(plan: JigPlan, stop: StopPlan | null): Vec[] {
  const { strip, wedge, ramp, bed } = plan;
  if (stop === null) {
    const face = halfPlaneThrough((wedge.overhangs ? -1 : 1) * ramp, vec(0, strip / 2));
    return polygonOf([
      face,
      halfPlaneThrough(Math.PI / 2, vec(0, strip)),
      halfPlaneThrough(-Math.PI / 2, vec(0, 0)),
      halfPlaneThrough(Math.PI, vec(-bed.grooveToCut - BEYOND, 0)),
    ]);
  }
  const { piece, cut } = stop;
  const own = { ...piece, origin: vec(0, 0), axis: 0 };
  const over = (wedge.overhangs ? -1 : 1) * cut.side;
  return polygonOf(pieceFaces(own, 0, strip).map(facePlane)).map(({ x, y }) =>
    vec(cut.end * x - cut.reach, strip / 2 + over * y),
  );
}

function frontBlock(plan: JigPlan, view: SideView, text: (key: JigSizeKey) => DimensionText | null): Block {
  const { bed, wedge, strip, toe, feet } = plan;
  const { px, x } = view;
  const summit = bed.groove + wedge.rise;
  const above = 2 * LEVEL + 12;
  const y = (mm: number): number => above + (summit - mm) * px;
  const on = (p: Vec): Vec => vec(x(p.x), y(p.y));
  const stop = longestStop(plan);
  const grooveEnd = stop === null ? view.left : -bed.grooveToCut;
  const bedShape = [
    vec(view.left, -bed.thickness),
    vec(bedEnd(plan, -bed.thickness), -bed.thickness),
    vec(bedEnd(plan, 0), 0),
    vec(grooveEnd, 0),
    vec(grooveEnd, bed.groove),
    vec(view.left, bed.groove),
  ];
  const cheek = [
    vec(grooveEnd, 0),
    vec(bedEnd(plan, 0), 0),
    vec(bedEnd(plan, bed.groove), bed.groove),
    vec(grooveEnd, bed.groove),
  ];
  const faceTop = vec(faceAt(plan, summit), summit);
  const bottom = y(-bed.thickness);
  const [first, second] = feetOf(plan);
  const below = (feet === null ? 0 : 1) + (stop === null ? 0 : 1);
  const drawn = (key: JigSizeKey, draw: (text: DimensionText) => Content): Content => {
    const found = text(key);
    return found === null ? "" : draw(found);
  };
  const heel = vec(second, bed.groove);
  return {
    width: view.room,
    height: bottom + below * LEVEL + 6,
    content: [
      polygon(cheek.map(on), { ...HIDDEN, fill: PALETTE.paper }),
      polygon(bedShape.map(on), BED),
      stop === null ? "" : rectangleOf(vec(-bed.grooveToCut, 0), vec(-stop.setting, strip), on, STICK),
      polygon(workOutline(plan, stop).map(on), WOOD),
      polygon(wedgeOutline(plan).map(on), WOOD),
      feet === null
        ? ""
        : rectangleOf(vec(heel.x - 3, heel.y), vec(heel.x + 3, heel.y + LEAF), on, { fill: PALETTE.ink }),
      [first, second].map((at) =>
        line(on(vec(at, summit + 3)), on(vec(at, -bed.thickness / 2)), {
          ...HIDDEN,
          "stroke-dasharray": "8 3 2 3",
        }),
      ),
      line(on(faceTop), on(vec(faceAt(plan, 0), 0)), BLADE),
      label("blade", vec(on(faceTop).x + (wedge.overhangs ? -6 : 8), on(faceTop).y + 12), {
        size: SIZE.small,
        halo: PALETTE.paper,
        anchor: wedge.overhangs ? "end" : "start",
      }),
      drawn("run", (one) => levelDimension(on(vec(toe, bed.groove)), on(faceTop), y(summit) - 12, one)),
      drawn("wedge", (one) =>
        levelDimension(
          on(vec(toe - wedge.length, summit)),
          on(vec(toe, bed.groove)),
          y(summit) - 12 - LEVEL,
          one,
        ),
      ),
      drawn("rise", (one) =>
        uprightDimension(on(vec(toe, bed.groove)), on(faceTop), x(view.right) + SIDE - 10, one),
      ),
      drawn("bed", (one) =>
        uprightDimension(on(vec(view.left, -bed.thickness)), on(vec(view.left, 0)), SIDE - 12, one),
      ),
      drawn("groove", (one) =>
        uprightDimension(on(vec(view.left, 0)), on(vec(view.left, bed.groove)), SIDE - 12, one),
      ),
      feet === null
        ? ""
        : drawn("feet", (one) =>
            levelDimension(
              on(vec(second, -bed.thickness)),
              on(vec(first, -bed.thickness)),
              bottom + LEVEL - 4,
              one,
            ),
          ),
      drawn("grooveToCut", (one) =>
        levelDimension(
          on(vec(-bed.grooveToCut, -bed.thickness)),
          vec(on(vec(0, 0)).x, on(vec(0, strip / 2)).y),
          bottom + below * LEVEL - 4,
          one,
        ),
      ),
      circle(on(vec(0, strip / 2)), 3, {
        fill: PALETTE.paper,
        stroke: PALETTE.attention,
        "stroke-width": STROKE.mark,
      }),
    ],
  };
}

const rectangleOf = (a: Vec, b: Vec, on: (p: Vec) => Vec, attributes: Parameters<typeof polygon>[1]) =>
  polygon([a, vec(b.x, a.y), b, vec(a.x, b.y)].map(on), attributes);

/** The groove where the job gives no depth of the strips is drawn as wide as this many thicknesses. */
const UNKNOWN_DEPTH = 3;

function topBlock(plan: JigPlan, view: SideView, text: (key: JigSizeKey) => DimensionText | null): Block {
  const { bed, wedge, toe, feet, strip } = plan;
  const { x, px } = view;
  const half = bed.width / 2;
  const groove = (bed.grooveWidth ?? Math.min(UNKNOWN_DEPTH * strip, half)) / 2;
  const y = (mm: number): number => 2 + (half - mm) * px;
  const on = (p: Vec): Vec => vec(x(p.x), y(p.y));
  const end = Math.max(bedEnd(plan, -bed.thickness), bedEnd(plan, bed.groove));
  const back = toe - wedge.length;
  const faceTop = toe + (wedge.overhangs ? wedge.run : -wedge.run);
  const [first, second] = feetOf(plan);
  const stop = longestStop(plan);
  const sides: readonly number[] = [half * 0.66, -half * 0.66];
  const dimension = (key: JigSizeKey, a: Vec, b: Vec, at: number): Content => {
    const found = text(key);
    return found === null ? "" : uprightDimension(a, b, at, found);
  };
  const work = stop === null ? view.left : -stop.setting;
  return {
    width: view.room,
    height: 4 + bed.width * px,
    content: [
      rectangleOf(vec(view.left, -half), vec(end, half), on, BED),
      rectangleOf(
        vec(stop === null ? view.left : -bed.grooveToCut, -groove),
        vec(bedEnd(plan, bed.groove), groove),
        on,
        {
          ...HIDDEN,
          fill: PALETTE.paper,
          "stroke-dasharray": undefined,
        },
      ),
      stop === null ? "" : rectangleOf(vec(-bed.grooveToCut, -groove), vec(-stop.setting, groove), on, STICK),
      rectangleOf(vec(work, -groove), vec(faceAt(plan, strip), groove), on, WOOD),
      rectangleOf(vec(back, -half), vec(Math.max(toe, faceTop), half), on, { ...WOOD, "fill-opacity": 0.82 }),
      wedge.overhangs
        ? ""
        : line(on(vec(faceTop, -half)), on(vec(faceTop, half)), {
            stroke: PALETTE.woodEdge,
            "stroke-width": STROKE.fine,
          }),
      [groove, -groove].map((at) => line(on(vec(back, at)), on(vec(Math.max(toe, faceTop), at)), HIDDEN)),
      feet === null
        ? ""
        : sides.map((at) =>
            rectangleOf(vec(second - 3, at - 4), vec(second + 3, at + 4), on, { fill: PALETTE.ink }),
          ),
      [first, second].flatMap((at) =>
        sides.map((z) =>
          circle(on(vec(at, z)), 3, {
            fill: PALETTE.paper,
            stroke: PALETTE.ink,
            "stroke-width": STROKE.fine,
          }),
        ),
      ),
      dimension("width", on(vec(view.left, -half)), on(vec(view.left, half)), SIDE - 12),
      dimension(
        "grooveWidth",
        on(vec(bedEnd(plan, bed.groove), -groove)),
        on(vec(bedEnd(plan, bed.groove), groove)),
        x(view.right) + SIDE - 10,
      ),
    ],
  };
}

/** px that a strip is thick in the close-up. */
const THICK = 46;

/** The strip's end under the ramp's toe with both angles, and the place that stops are counted from. */
function cutBlock(plan: JigPlan, room: number): Block {
  const { strip, bed, ramp, wedge } = plan;
  const stop = longestStop(plan);
  const px = Math.min(THICK / strip, (0.42 * room) / (strip * Math.max(1, Math.tan(ramp))));
  const [low, high] = [-0.35 * strip, bed.groove + 1.35 * strip];
  const centre = room * (wedge.overhangs ? 0.4 : 0.52);
  const on = (p: Vec): Vec => vec(centre + p.x * px, (high - p.y) * px);
  const [left, right] = [-centre / px, (room - centre) / px];
  const clip = (corners: readonly Vec[]): Vec[] =>
    clipPolygon(corners, { left, right, bottom: low, top: high }).map(on);
  const floor = [vec(left, low), vec(bedEnd(plan, low), low), vec(bedEnd(plan, 0), 0), vec(left, 0)];
  const lean = wedge.overhangs ? -1 : 1;
  const degrees = (ramp * 180) / Math.PI;
  const middle = on(vec(0, strip / 2));
  const upright = on(vec(0, high));
  const base = on(vec(plan.toe, bed.groove));
  const radius = Math.min(1.15 * strip * px, 56);
  const along = [on(vec(faceAt(plan, high), high)), on(vec(faceAt(plan, low), low))] as const;
  const shown = (p: Vec): Vec => vec(Math.min(Math.max(p.x, 0), room), p.y);
  const waste = [vec(faceAt(plan, 0), 0), vec(right, 0), vec(right, strip), vec(faceAt(plan, strip), strip)];
  return {
    width: room,
    height: (high - low) * px,
    content: [
      polygon(clip(floor), BED),
      polygon(clip(wedgeShape(plan)), { ...WOOD, "fill-opacity": 0.7 }),
      polygon(clip(waste), { ...HIDDEN }),
      polygon(clip(workOutline(plan, null)), WOOD),
      stop === null ? "" : polygon(clip(workOutline(plan, stop)), HIDDEN),
      line(on(vec(left, strip / 2)), on(vec(right, strip / 2)), {
        ...HIDDEN,
        "stroke-dasharray": "10 3 2 3",
      }),
      line(middle, upright, HIDDEN),
      line(shown(along[0]), shown(along[1]), BLADE),
      angleArc(middle, radius, 90, 90 + lean * degrees),
      label(angleText(ramp), vec(middle.x + lean * 7, middle.y - radius + 9), {
        size: SIZE.small,
        weight: "bold",
        halo: PALETTE.paper,
        anchor: wedge.overhangs ? "end" : "start",
      }),
      angleArc(base, 26, 180, wedge.overhangs ? 90 - degrees : 90 + degrees),
      label(angleText(plan.fromBed), vec(base.x - 32, base.y - 6), {
        size: SIZE.small,
        weight: "bold",
        halo: PALETTE.paper,
        anchor: "end",
      }),
      circle(middle, 3.4, { fill: PALETTE.paper, stroke: PALETTE.attention, "stroke-width": STROKE.mark }),
      label("stops count from here", vec(middle.x + 9, middle.y - 6), {
        size: SIZE.small,
        halo: PALETTE.paper,
      }),
    ],
  };
}

/** The wedge without its feet. */
const wedgeShape = (plan: JigPlan): Vec[] => {
  const { toe, bed, wedge } = plan;
  const summit = bed.groove + wedge.rise;
  return [
    vec(toe, bed.groove),
    vec(faceAt(plan, summit), summit),
    vec(toe - wedge.length, summit),
    vec(toe - wedge.length, bed.groove),
  ];
};

/** px for each stick: its name, its dimensions, the stick and the piece. */
const STICK_ROW = 66;

function sticksBlock(plan: JigPlan, view: SideView, { units }: Job): Block {
  const { x, px } = view;
  const { strip, bed } = plan;
  const thick = Math.max(strip * px, 7);
  const rows = plan.stops.map((stop, i): Content => {
    const top = STICK_ROW * i;
    const y = top + 44;
    const on = (p: Vec): Vec => vec(x(p.x), y + thick - (p.y / strip) * thick);
    const tip = vec(x(-stop.setting), y);
    return [
      label(
        `${stop.setUp}: stick ${pieceLength(stop.stick, units)}, then ${pieceLength(stop.setting, units)} to the cut`,
        vec(0, top + 12),
        { size: SIZE.small, weight: "bold" },
      ),
      rect(x(view.left), y - 4, x(-bed.grooveToCut) - x(view.left), thick + 8, BED),
      rectangleOf(vec(-bed.grooveToCut, 0), vec(-stop.setting, strip), on, STICK),
      polygon(workOutline(plan, stop).map(on), WOOD),
      levelDimension(vec(x(-bed.grooveToCut), y), tip, y - 10, {
        letter: "",
        size: pieceLength(stop.stick, units),
      }),
      levelDimension(tip, vec(x(0), y + thick / 2), y - 10, {
        letter: "",
        size: pieceLength(stop.setting, units),
      }),
    ];
  });
  return { width: view.room, height: STICK_ROW * rows.length, content: rows };
}
