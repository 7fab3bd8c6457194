import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";

/** As if the readings told this share of what they do: their intervals leave more room than a normal laid about their middle. */
const WIDENED = [1, 0.7, 0.5] as const;

interface Width {
  readonly told: number;
  /** Cholesky factor of I + told²·AAᵀ, row-major. */
  readonly factor: Float64Array;
  /** ½ log det(I + told²·AᵀA). */
  readonly halfLogDeterminant: number;
}

/**
 * Normals about `centre` with covariance (I + s²AᵀA)⁻¹, A of few rows, s = 1 and smaller, in equal parts: what standard normals become when a few linear readings of them are taken,
 * and somewhat wider. Everything is done in the space of the readings: (I + AᵀA)⁻¹v = v − Aᵀ(I + AAᵀ)⁻¹Av.
 */
export class Nearby {
  readonly centre: Float64Array;
  readonly #a: Float64Array;
  readonly #rows: number;
  readonly #widths: readonly Width[];
  readonly #seen: Float64Array;
  readonly #away: Float64Array;

  /** @param a row-major (row, unknown). */
  constructor(centre: Float64Array, a: Float64Array, rows: number) {
    this.centre = centre;
    this.#a = a;
    this.#rows = rows;
    this.#seen = new Float64Array(rows);
    this.#away = new Float64Array(centre.length);
    const gram = gramOf(a, rows);
    this.#widths = WIDENED.map((told) => widthOf(told, gram, rows));
  }

  /** ½ log det(I + AᵀA). */
  get halfLogDeterminant(): number {
    return this.#widths[0]!.halfLogDeterminant;
  }

  /** A·v, in memory that the next call writes over. */
  #times(v: Float64Array): Float64Array {
    const n = v.length;
    const out = this.#seen;
    for (let i = 0; i < out.length; i++) {
      let sum = 0;
      for (let k = 0; k < n; k++) sum += this.#a[i * n + k]! * v[k]!;
      out[i] = sum;
    }
    return out;
  }

  #addTransposed(pull: Float64Array, share: number, v: Float64Array): void {
    const n = v.length;
    for (let i = 0; i < pull.length; i++) {
      const by = share * pull[i]!;
      for (let k = 0; k < n; k++) v[k]! += by * this.#a[i * n + k]!;
    }
  }

  /** (I + s²AᵀA)⁻¹v, written over v; by default with all that the readings tell, s = 1. */
  solve(v: Float64Array, { told, factor }: Width = this.#widths[0]!): Float64Array {
    const inReadings = this.#times(v);
    choleskySolveInPlace(factor, this.#rows, inReadings);
    this.#addTransposed(inReadings, -(told ** 2), v);
    return v;
  }

  draw(stream: RandomStream): Float64Array {
    const width = this.#widths[stream.integer(this.#widths.length)]!;
    const v = stream.fill(new Float64Array(this.centre.length));
    this.#addTransposed(stream.fill(new Float64Array(this.#rows)), width.told, v);
    this.solve(v, width);
    for (let k = 0; k < v.length; k++) v[k]! += this.centre[k]!;
    return v;
  }

  /** Log density, without the (2π)^(−n/2) that every density of n unknowns has. */
  logDensity(x: Float64Array): number {
    const d = this.#away;
    for (let k = 0; k < d.length; k++) d[k] = x[k]! - this.centre[k]!;
    const far = squareOf(d);
    const seen = squareOf(this.#times(d));
    let [most, sum] = [Number.NEGATIVE_INFINITY, 0];
    for (const { told, halfLogDeterminant } of this.#widths) {
      const log = halfLogDeterminant - (far + told ** 2 * seen) / 2;
      sum = log > most ? sum * Math.exp(most - log) + 1 : sum + Math.exp(log - most);
      most = Math.max(most, log);
    }
    return most + Math.log(sum / this.#widths.length);
  }
}

function squareOf(v: Float64Array): number {
  let sum = 0;
  for (let k = 0; k < v.length; k++) sum += v[k]! * v[k]!;
  return sum;
}

/** AAᵀ. */
function gramOf(a: Float64Array, rows: number): Float64Array {
  const n = a.length / rows;
  const gram = new Float64Array(rows * rows);
  for (let i = 0; i < rows; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let k = 0; k < n; k++) sum += a[i * n + k]! * a[j * n + k]!;
      gram[i * rows + j] = sum;
      gram[j * rows + i] = sum;
    }
  }
  return gram;
}

function widthOf(told: number, gram: Float64Array, rows: number): Width {
  const factor = gram.map((value, k) => told ** 2 * value + (k % (rows + 1) === 0 ? 1 : 0));
  choleskyInPlace(factor, rows, 0);
  let halfLogDeterminant = 0;
  for (let i = 0; i < rows; i++) halfLogDeterminant += Math.log(factor[i * rows + i]!);
  return { told, factor, halfLogDeterminant };
}
