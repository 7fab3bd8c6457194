import { at } from "../../core/numeric/dense.js";
import type { Cut } from "../../model/cell/arrangement.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout, noErrors, rackedGrid, smallOpening } from "../../model/cell/cell-errors.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { type SetUp, setUpByGroup } from "../../model/shop.js";
import { fenceShift } from "../../model/sources.js";
import { type CellModel, cellModel } from "../../physics/predict/cell-model.js";
import { slopesByModel } from "../../physics/sensitivity/sensitivity.js";

/** How far one thing may be off either way, rad or mm, > 0; `null` where no size of it opens or presses a joint. */
export interface EitherWay {
  /** Sharper, longer, thicker, larger; of a grid, counter-clockwise. */
  readonly more: number | null;
  /** Blunter, shorter, thinner, smaller; clockwise. */
  readonly less: number | null;
}

/** How accurate each thing that is made has to be, all others being right. */
export interface NeededAccuracy {
  /** By jig, rad. */
  readonly ramps: ReadonlyMap<string, EitherWay>;
  /** By set-up with a stop, mm. */
  readonly stops: ReadonlyMap<string, EitherWay>;
  /** Thickness of the strips, all alike, mm. */
  readonly strip: EitherWay;
  /** Every clear side of the opening, mm. */
  readonly opening: EitherWay;
  /** Uprights against level strips, rad; of a cell that no upright grid encloses, of its walls in the same sense. */
  readonly racking: EitherWay;
}

/** The share of a limit that one error may use up by itself: the sentences say “half”. Our own, no source. */
export const LIMIT_SHARE = 0.5;
/** mm of gap per rad or mm of error below which there is none. */
const NONE = 1e-9;

/**
 * How far each ramp, each stop, the strip and the opening may be off before that error alone uses {@link LIMIT_SHARE} of the job's gap limit or snug limit: the limit's share over the
 * steepest slope of any gap, at first order, for either sense. With `lengths: fitted` only gaps count.
 */
export function neededAccuracy(job: Job): NeededAccuracy {
  const cell = jobCell(job);
  const model = cellModel(cell);
  const setUpOf = setUpByGroup(job);
  const limits = closingLimits(job);
  const of = (errors: Float64Array): EitherWay => ({
    more: allowed(model, errors, limits),
    less: allowed(
      model,
      errors.map((value) => -value),
      limits,
    ),
  });
  const cuts = (kind: "angle" | "axial", wanted: (setUp: SetUp) => boolean): EitherWay =>
    of(
      eachCut(cell, kind, (cut) => {
        const setUp = setUpOf(cut);
        return setUp !== undefined && wanted(setUp) ? 1 : 0;
      }),
    );
  const fenceOf = (cut: Cut) => job.jigs.find(({ name }) => name === setUpOf(cut)?.jig)?.fence ?? "centred";
  const thick = eachCut(cell, "axial", (cut) => fenceShift(fenceOf(cut), cut.jigAngle));
  const { indexOf } = errorLayout(cell);
  for (const { name } of cell.pieces) thick[indexOf("thickness", name)] = 1;
  return {
    ramps: new Map(job.jigs.map(({ name }) => [name, cuts("angle", ({ jig }) => jig === name)])),
    stops: new Map(
      job.setUps
        .filter(({ stop }) => stop !== null)
        .map(({ name }) => [name, cuts("axial", (setUp) => setUp.name === name)]),
    ),
    strip: of(thick),
    opening: of(smallOpening(cell).map((value) => -value)),
    racking: of(rackedGrid(cell)),
  };
}

/** Elementary errors of one kind, one for each cut; rad or mm. */
function eachCut(cell: Cell, kind: "angle" | "axial", size: (cut: Cut) => number): Float64Array {
  const errors = noErrors(cell);
  const { indexOf } = errorLayout(cell);
  for (const { name, cuts } of cell.pieces)
    for (const cut of cuts) errors[indexOf(kind, name, cut.face)] = size(cut);
  return errors;
}

function allowed(
  model: CellModel,
  errors: Float64Array,
  { gap, snug }: { readonly gap: number; readonly snug: number },
): number | null {
  if (!errors.some((value) => value !== 0)) return null;
  const slopes = slopesByModel(model, errors);
  const steepest = (sign: 1 | -1): number =>
    slopes.reduce((most, _, i) => Math.max(most, sign * at(slopes, i)), 0);
  const [opens, presses] = [steepest(1), steepest(-1)];
  const most = Math.min(
    opens > NONE ? gap / opens : Number.POSITIVE_INFINITY,
    presses > NONE ? snug / presses : Number.POSITIVE_INFINITY,
  );
  return Number.isFinite(most) ? LIMIT_SHARE * most : null;
}
