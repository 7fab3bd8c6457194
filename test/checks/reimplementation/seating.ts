import { at, dot, type Face, facesOf, type Layout, type Probe, probesOf, unit } from "./geometry.js";

/** How many times stiffer a face is when pressed than when it stands off. */
export const PRESS_RATIO = 1000;
const SMALL = 1e-10;
const MOST = 100;

/** An elementary error: what of which owner (`hinge-1`, `hinge-1.end-left`, `wall-top`). */
export interface ErrorPlace {
  readonly kind: "angle" | "axial" | "thickness" | "turn" | "offset";
  readonly owner: string;
}

/** Direction of a face's normal, and its offset from the origin. */
interface FaceState {
  readonly normal: number;
  readonly offset: number;
}

/** Places of the errors that turn and that shift a face; −1 for none. */
type FaceErrors = readonly [number, number];

/** A cell or bench that can be brought to rest. Errors are numbers in the order of `errors`. */
export class Rig {
  readonly layout: Layout;
  readonly faces: readonly Face[];
  readonly probes: readonly Probe[];
  readonly errors: readonly ErrorPlace[];
  readonly pressRatio: number;
  /** First-order gaps by errors and by poses, row-major (probe, column). */
  readonly #byError: Float64Array;
  readonly #byPose: Float64Array;
  readonly #poses: number;
  readonly #errorsOf: readonly FaceErrors[];
  /** The poses that each probe depends on. */
  readonly #columns: readonly Int32Array[];
  readonly #weight: Float64Array;

  constructor(layout: Layout, pressRatio = PRESS_RATIO) {
    this.layout = layout;
    this.pressRatio = pressRatio;
    const faces = facesOf(layout);
    this.probes = probesOf(layout, faces);
    this.faces = faces;
    this.#weight = Float64Array.from(this.probes, ({ weight }) => weight);
    this.#columns = this.probes.map(({ first, mate }) => {
      const bodies = [first, mate].map((f) => at(faces, f).body).filter((body) => body >= 0);
      return Int32Array.from(bodies.flatMap((body) => [3 * body, 3 * body + 1, 3 * body + 2]));
    });
    this.errors = [
      ...layout.pieces.flatMap(({ name, cuts }): ErrorPlace[] => [
        { kind: "thickness", owner: name },
        ...cuts.flatMap(({ face }): ErrorPlace[] => [
          { kind: "angle", owner: `${name}.${face}` },
          { kind: "axial", owner: `${name}.${face}` },
        ]),
      ]),
      ...layout.walls.flatMap(({ name }): ErrorPlace[] => [
        { kind: "turn", owner: name },
        { kind: "offset", owner: name },
      ]),
    ];
    this.#errorsOf = faces.map(({ kind, name }): FaceErrors => {
      if (kind === "wall") return [this.indexOf("turn", name), this.indexOf("offset", name)];
      if (kind === "side") return [-1, this.indexOf("thickness", name.split(".")[0] ?? "")];
      return [this.indexOf("angle", name), this.indexOf("axial", name)];
    });
    const [E, P] = [this.errors.length, 3 * layout.pieces.length];
    this.#poses = P;
    this.#byError = new Float64Array(this.probes.length * E);
    this.#byPose = new Float64Array(this.probes.length * P);
    for (const [i, probe] of this.probes.entries())
      for (const f of [probe.first, probe.mate]) this.#slopesOfFace(i, at(faces, f), probe);
  }

  indexOf(kind: ErrorPlace["kind"], owner: string): number {
    return this.errors.findIndex((one) => one.kind === kind && one.owner === owner);
  }

  /** g = −(h of first + h of mate), h to first order. */
  #slopesOfFace(i: number, face: Face, { place }: Probe): void {
    const [E, P] = [this.errors.length, this.#poses];
    const r: [number, number] = [place[0] - face.origin[0], place[1] - face.origin[1]];
    const n = unit(face.normal);
    const across = dot([-n[1], n[0]], r);
    const add = (kind: ErrorPlace["kind"], owner: string, h: number): void => {
      const column = this.indexOf(kind, owner);
      if (column >= 0) this.#byError[i * E + column] = at(this.#byError, i * E + column) - h;
    };
    if (face.kind === "wall") {
      add("offset", face.name, 1);
      add("turn", face.name, -across);
    } else if (face.kind === "side") add("thickness", face.name.split(".")[0] ?? "", 0.5);
    else if (face.cut) {
      const { J, side } = face.cut;
      const { axis } = at(this.layout.pieces, face.body);
      const y = dot([-Math.sin(axis), Math.cos(axis)], r);
      add("axial", face.name, Math.cos(J));
      add("angle", face.name, (-side * y) / Math.cos(J));
    }
    if (face.body < 0) return;
    const column = i * P + 3 * face.body;
    for (const [k, h] of [n[0], n[1], -across].entries())
      this.#byPose[column + k] = at(this.#byPose, column + k) - h;
  }

  /** The poses and gaps of first order, by semi-smooth Newton. */
  first(errors: Float64Array): { pose: Float64Array; gap: Float64Array; spring: Float64Array } {
    const [E, P, N] = [this.errors.length, this.#poses, this.probes.length];
    const [D, G] = [this.#byError, this.#byPose];
    const gap = new Float64Array(N);
    for (let i = 0; i < N; i++) {
      let sum = 0;
      for (let e = 0; e < E; e++) sum += D[i * E + e]! * errors[e]!;
      gap[i] = sum;
    }
    const rounding = gap.reduce((most, g) => Math.max(most, 1e-12 * Math.abs(g)), 1e-13);
    const pose = new Float64Array(P);
    const signs = new Uint8Array(N);
    const spring = new Float64Array(N);
    const change = new Float64Array(N);
    for (let k = 0; k < MOST; k++) {
      for (let i = 0; i < N; i++) spring[i] = this.#weight[i]! * (signs[i] ? this.pressRatio : 1);
      const step = this.#newton(gap, spring);
      for (let i = 0; i < N; i++) {
        let sum = 0;
        for (let c = 0; c < P; c++) sum += G[i * P + c]! * step[c]!;
        change[i] = sum;
      }
      const still = change.every((by) => Math.abs(by) <= rounding);
      const share = k === 0 || still ? 1 : this.#shareOf(gap, change);
      for (let c = 0; c < P; c++) pose[c]! += share * step[c]!;
      let changed = false;
      for (let i = 0; i < N; i++) {
        gap[i]! += share * change[i]!;
        if (Math.abs(gap[i]!) <= 1e-13) continue;
        const now = gap[i]! < 0 ? 1 : 0;
        if (now !== signs[i]) changed = true;
        signs[i] = now;
      }
      if (!changed && Math.abs(share - 1) < 1e-9) return { pose, gap, spring };
    }
    throw new Error("no rest at first order");
  }

  #newton(gap: Float64Array, spring: Float64Array): Float64Array {
    const [P, N, G, columnsOf] = [this.#poses, this.probes.length, this.#byPose, this.#columns];
    const matrix = new Float64Array(P * P);
    const right = new Float64Array(P);
    for (let i = 0; i < N; i++) {
      const row = i * P;
      for (const a of columnsOf[i]!) {
        const pull = spring[i]! * G[row + a]!;
        right[a]! -= pull * gap[i]!;
        for (const b of columnsOf[i]!) matrix[a * P + b]! += pull * G[row + b]!;
      }
    }
    solve(factor(matrix, P), P, right);
    return right;
  }

  /** Where along a step the energy is least: its slope along the step rises, linear between the places where a gap changes sign. */
  #shareOf(gap: Float64Array, change: Float64Array): number {
    const slope = (share: number): number => {
      let sum = 0;
      for (let i = 0; i < gap.length; i++) {
        const g = gap[i]! + share * change[i]!;
        sum += this.#weight[i]! * (g < 0 ? this.pressRatio : 1) * g * change[i]!;
      }
      return sum;
    };
    const turns = [...gap.keys()]
      .map((i) => -gap[i]! / change[i]!)
      .filter((s) => s > 0 && Number.isFinite(s));
    let [low, below] = [0, slope(0)];
    for (const high of [...turns.sort((a, b) => a - b), Number.NaN]) {
      const end = Number.isNaN(high) ? low + 1 : high;
      const above = slope(end);
      if (above >= 0 || Number.isNaN(high)) return low - (below * (end - low)) / (above - below || 1);
      [low, below] = [end, above];
    }
    return 1;
  }

  /** Gradient of Σ λ·gap by the errors at a rest of first order: the poses follow as the balance asks. */
  gradient(pull: Float64Array, spring: Float64Array): Float64Array {
    const [E, P, N] = [this.errors.length, this.#poses, this.probes.length];
    const [D, G, columnsOf] = [this.#byError, this.#byPose, this.#columns];
    const matrix = new Float64Array(P * P);
    const yielding = new Float64Array(P);
    for (let i = 0; i < N; i++)
      for (const a of columnsOf[i]!) {
        yielding[a]! += pull[i]! * G[i * P + a]!;
        for (const b of columnsOf[i]!) matrix[a * P + b]! += spring[i]! * G[i * P + a]! * G[i * P + b]!;
      }
    solve(factor(matrix, P), P, yielding);
    const out = new Float64Array(E);
    for (let i = 0; i < N; i++) {
      let own = pull[i]!;
      for (const a of columnsOf[i]!) own -= spring[i]! * G[i * P + a]! * yielding[a]!;
      if (own !== 0) for (let e = 0; e < E; e++) out[e]! += own * D[i * E + e]!;
    }
    return out;
  }

  /** The gaps of exact order: Newton's method with second derivatives, from the rest of first order. */
  exact(errors: Float64Array): Float64Array {
    const P = this.#poses;
    const N = this.probes.length;
    const states = this.faces.map((face, f) => this.#stateOf(face, at(this.#errorsOf, f), errors));
    let pose = this.first(errors).pose;
    let here = this.#evaluate(states, pose);
    for (let k = 0; k < MOST; k++) {
      const root = here.curved && factor(here.curved.slice(), P, true);
      const step = here.force.map((f) => -f);
      solve(root || factor(here.plain.slice(), P), P, step);
      let largest = 0;
      for (let i = 0; i < N; i++) {
        let sum = 0;
        for (let c = 0; c < P; c++) sum += here.slopes[i * P + c]! * step[c]!;
        largest = Math.max(largest, Math.abs(sum));
      }
      let share = 1;
      const ceiling = here.energy * (1 + 1e-9);
      for (; share > 1e-6; share /= 2) {
        const next = this.#evaluate(
          states,
          pose.map((q, c) => q + share * step[c]!),
        );
        if (next.energy > ceiling) continue;
        pose = pose.map((q, c) => q + share * step[c]!);
        here = next;
        break;
      }
      if (root && (largest < SMALL || share <= 1e-6)) return here.gap;
    }
    throw new Error("no rest at exact order");
  }

  /** Direction and offset of a face with its errors. */
  #stateOf({ kind, cut, normal, offset }: Face, [turn, shift]: FaceErrors, errors: Float64Array): FaceState {
    const [delta, by] = [errors[turn] ?? 0, errors[shift] ?? 0];
    if (kind === "wall") return { normal: normal + delta, offset: by };
    if (kind === "side") return { normal, offset: offset + by / 2 };
    if (!cut) return { normal, offset };
    return { normal: normal + cut.s * cut.side * delta, offset: (cut.a + by) * Math.cos(cut.J + delta) };
  }

  #evaluate(states: readonly FaceState[], pose: Float64Array) {
    const [P, N] = [this.#poses, this.probes.length];
    const [gap, slopes] = [new Float64Array(N), new Float64Array(N * P)];
    const [force, plain, curved] = [new Float64Array(P), new Float64Array(P * P), new Float64Array(P * P)];
    let energy = 0;
    for (const [i, { place, first, mate, weight }] of this.probes.entries()) {
      const n = unit(at(this.faces, first).normal);
      const seconds: [number, number, number, number][] = [];
      for (const [f, nx, ny] of [
        [first, n[0], n[1]],
        [mate, -n[0], -n[1]],
      ] as const) {
        const { body, origin } = at(this.faces, f);
        const { normal, offset } = at(states, f);
        const b = 3 * body;
        const turn = body < 0 ? 0 : pose[b + 2]!;
        const [u, v] = [Math.cos(normal + turn), Math.sin(normal + turn)];
        const rx = place[0] - origin[0] - (body < 0 ? 0 : pose[b]!);
        const ry = place[1] - origin[1] - (body < 0 ? 0 : pose[b + 1]!);
        const room = offset - u * rx - v * ry;
        const facing = u * nx + v * ny;
        // u' = (−v, u)
        const across = -v * rx + u * ry;
        const leaning = -v * nx + u * ny;
        gap[i]! -= room / facing;
        if (body < 0) continue;
        const byTurn = -across / facing - (room * leaning) / facing ** 2;
        slopes[i * P + b]! -= u / facing;
        slopes[i * P + b + 1]! -= v / facing;
        slopes[i * P + b + 2]! -= byTurn;
        const twice =
          (u * rx + v * ry) / facing +
          (2 * across * leaning) / facing ** 2 +
          room / facing +
          (2 * room * leaning ** 2) / facing ** 3;
        const [ux, uy] = [
          -v / facing - (u * leaning) / facing ** 2,
          u / facing - (v * leaning) / facing ** 2,
        ];
        seconds.push([b, -twice, -ux, -uy]);
      }
      const spring = weight * (gap[i]! < 0 ? this.pressRatio : 1);
      energy += (spring * gap[i]! ** 2) / 2;
      const columns = this.#columns[i]!;
      for (const a of columns) {
        force[a]! += spring * gap[i]! * slopes[i * P + a]!;
        for (const c of columns) plain[a * P + c]! += spring * slopes[i * P + a]! * slopes[i * P + c]!;
      }
      for (const [b, twice, ux, uy] of seconds) {
        const pull = spring * gap[i]!;
        curved[(b + 2) * P + b + 2]! += pull * twice;
        for (const [c, slope] of [
          [b, ux],
          [b + 1, uy],
        ] as const) {
          curved[(b + 2) * P + c]! += pull * slope;
          curved[c * P + b + 2]! += pull * slope;
        }
      }
    }
    for (let k = 0; k < P * P; k++) curved[k]! += plain[k]!;
    return { gap, slopes, force, plain, curved, energy };
  }
}

/** Cholesky factor in place; with `maybe`, null where the matrix is not positive definite. */
export function factor(a: Float64Array, n: number): Float64Array;
export function factor(a: Float64Array, n: number, maybe: true): Float64Array | null;
export function factor(a: Float64Array, n: number, maybe = false): Float64Array | null {
  for (let i = 0; i < n; i++)
    for (let j = 0; j <= i; j++) {
      let sum = a[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= a[i * n + k]! * a[j * n + k]!;
      if (i !== j) a[i * n + j] = sum / a[j * n + j]!;
      else if (sum > 0) a[i * n + i] = Math.sqrt(sum);
      else if (maybe) return null;
      else throw new Error("a piece is not held");
    }
  return a;
}

/** Solves L·Lᵀ·x = b in place. */
export function solve(root: Float64Array, n: number, b: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = b[i]!;
    for (let k = 0; k < i; k++) sum -= root[i * n + k]! * b[k]!;
    b[i] = sum / root[i * n + i]!;
  }
  solveUpper(root, n, b);
}

/** Solves Lᵀ·x = b in place. */
export function solveUpper(root: Float64Array, n: number, b: Float64Array): void {
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i]!;
    for (let k = i + 1; k < n; k++) sum -= root[k * n + i]! * b[k]!;
    b[i] = sum / root[i * n + i]!;
  }
}
