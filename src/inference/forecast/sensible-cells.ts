import { at } from "../../core/numeric/dense.js";
import { type Cell, readDepths } from "../../model/cell/cell.js";
import { errorLayout, noErrors } from "../../model/cell/cell-errors.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import { faceStates } from "../../physics/predict/face-states.js";
import {
  currentSegments,
  jointSpans,
  MOST_APART,
  requireFacesMeet,
  requireSensibleErrors,
} from "../../physics/predict/predict-cell.js";

/** Step of the differences for slopes on either side: rad for angles, mm for all other errors. */
const PROBED_ANGLE = Math.PI / 180;
const PROBED_LENGTH = 0.1;
/** Up to errors of this many times those steps, the linear prediction of face positions is accurate to a fraction of {@link MARGIN}. */
const REACH_ANGLE = 3;
const REACH_LENGTH = 5;
/** If the estimated overlap exceeds this share of the strip's thickness, the faces certainly meet. */
const MARGIN = 0.1;

/**
 * Whether cells are sensible by the definition of `predictCell`: no error that is impossible for a cut, and faces that meet. For most cells the ends of their faces show that they are far from the limit; the ends move nearly
 * in proportion to the errors. The remaining cells are examined one by one.
 */
export class SensibleCells {
  readonly #cell: Cell;
  /** Error up to which the slopes hold, for each elementary error. */
  readonly #most: Float64Array;
  /** Position of each end without errors, mm, and its slopes with respect to the few errors it depends on: those of end i are stored before index `last[i]`. */
  readonly #ends: Float64Array;
  readonly #last: Int32Array;
  readonly #error: Int32Array;
  readonly #slope: Float64Array;

  constructor(cell: Cell) {
    this.#cell = cell;
    const { entries } = errorLayout(cell);
    const isAngle = entries.map(({ kind }) => kind === "angle" || kind === "lean" || kind === "turn");
    const probed = Float64Array.from(isAngle, (angle) => (angle ? PROBED_ANGLE : PROBED_LENGTH));
    this.#most = Float64Array.from(entries, ({ kind }, e) => {
      const most = at(probed, e) * (isAngle[e] ? REACH_ANGLE : REACH_LENGTH);
      return kind === "thickness" ? Math.min(most, cell.strip / 2) : most;
    });
    const n = entries.length;
    const endsAt = (e: number, error: number): Float64Array | null => {
      const errors = noErrors(cell);
      if (e >= 0) errors[e] = error;
      return endsOf(cell, errors);
    };
    const middle = endsAt(-1, 0);
    this.#ends = middle ?? new Float64Array(0);
    const slopes = new Float64Array(this.#ends.length * n);
    for (let e = 0; e < n && middle; e++) {
      const [up, down] = [endsAt(e, at(probed, e)), endsAt(e, -at(probed, e))];
      if (!up || !down) {
        this.#most[e] = 0;
        continue;
      }
      for (let i = 0; i < up.length; i++) slopes[i * n + e] = (at(up, i) - at(down, i)) / (2 * at(probed, e));
    }
    const places = [...slopes.keys()].filter((k) => slopes[k] !== 0);
    this.#error = Int32Array.from(places, (k) => k % n);
    this.#slope = Float64Array.from(places, (k) => at(slopes, k));
    this.#last = new Int32Array(this.#ends.length);
    for (const k of places) this.#last[Math.floor(k / n)]!++;
    for (let i = 1; i < this.#last.length; i++) this.#last[i]! += this.#last[i - 1]!;
  }

  /**
   * @param errors elementary errors, rad and mm.
   * @param gap gaps of the cell's probes in exact order, mm.
   */
  areSensible(errors: Float64Array, gap: Float64Array): boolean {
    if (this.#areSurely(errors, gap)) return true;
    return (
      orNothing(() => {
        requireSensibleErrors(this.#cell, errors);
        requireFacesMeet(this.#cell, errors, gap);
        return true;
      }) ?? false
    );
  }

  #areSurely(errors: Float64Array, gap: Float64Array): boolean {
    const [most, ends] = [this.#most, this.#ends];
    const n = most.length;
    if (errors.length !== n || ends.length === 0) return false;
    // The negated comparison also rejects NaN. Entries are read without bounds checks, because thousands of cells pass here.
    for (let e = 0; e < n; e++) if (!(Math.abs(errors[e]!) < most[e]!)) return false;
    const apart = MOST_APART * this.#cell.strip;
    for (let i = 0; i < this.#cell.probes.length; i++) if (!(Math.abs(gap[i]!) < apart)) return false;
    const margin = MARGIN * this.#cell.strip;
    for (let i = 0; i < ends.length; i += 4) {
      const [a0, a1, b0, b1] = [
        this.#end(i, errors),
        this.#end(i + 1, errors),
        this.#end(i + 2, errors),
        this.#end(i + 3, errors),
      ];
      if (!(Math.min(a1, b1) - Math.max(a0, b0) > margin)) return false;
    }
    return true;
  }

  #end(i: number, errors: Float64Array): number {
    let place = this.#ends[i]!;
    const last = this.#last[i]!;
    for (let k = i === 0 ? 0 : this.#last[i - 1]!; k < last; k++)
      place += this.#slope[k]! * errors[this.#error[k]!]!;
    return place;
  }
}

/** Where the two faces of every joint begin and end along it, at every depth, four numbers each, mm; `null` if a face has vanished. */
function endsOf(cell: Cell, errors: Float64Array): Float64Array | null {
  const unmoved = new Float64Array(3 * cell.pieces.length);
  const ends: number[] = [];
  for (const z of readDepths(cell)) {
    const segments = currentSegments(cell, faceStates(cell, errors, z), unmoved);
    for (const { first, mate } of cell.joints) if (!segments[first] || !segments[mate]) return null;
    for (const joint of cell.joints.keys()) ends.push(...jointSpans(cell, segments, joint).flat());
  }
  return Float64Array.from(ends);
}
