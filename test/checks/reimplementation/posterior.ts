import { at, bench, squareCell } from "./geometry.js";
import { type Density, densityOf } from "./likelihood.js";
import { type ErrorPlace, Rig } from "./seating.js";
import type { Reading, SetUp, Shop } from "./shop.js";

/** A shared error, rad or mm. */
export interface Source {
  readonly name: string;
  readonly sd: number;
}

/** Scatters from cut to cut, in this order among the unknowns. */
const SCATTERS = ["angle", "length", "thickness"] as const;
const SCATTER_OF: Readonly<Record<ErrorPlace["kind"], number>> = {
  angle: 0,
  axial: 1,
  thickness: 2,
  turn: -1,
  offset: -1,
};
/** Degrees of freedom of a scatter's prior. */
const STATED = 6;

interface Own {
  readonly error: number;
  readonly latent: number;
  readonly scatter: number;
  readonly sd: number;
  /** What the fence rule carries from a piece's thickness to its cuts. */
  readonly carried: readonly { readonly error: number; readonly factor: number }[];
}

interface Read {
  readonly density: Density;
  readonly shift: number;
  /** Index of the source that is the instrument's bias, −1 for none. */
  readonly bias: number;
  /** Of a gap: the probes that it may be of. Of the others: nominal value and slopes. */
  readonly probes: readonly number[];
  readonly nominal: number;
  readonly slopes: readonly { readonly error: number; readonly slope: number }[];
}

/** The readings of one trial on one bench, and how its errors follow from the unknowns. */
interface Part {
  readonly rig: Rig;
  readonly known: Float64Array;
  readonly shared: readonly { readonly error: number; readonly source: number; readonly factor: number }[];
  readonly own: readonly Own[];
  readonly reads: readonly Read[];
}

/** How the model may be told wrongly, for a check that must then fail. */
export interface Mistold {
  readonly pressRatio?: number;
  readonly fenceSign?: number;
}

/**
 * The posterior density of a shop's readings. The unknowns are in one row: the sources in their prior standard deviations, the logarithms of the three scatters' ratios to what
 * the job states, then the standard normal numbers of all cuts, pieces and walls by themselves.
 */
export class Posterior {
  readonly sources: readonly Source[];
  readonly size: number;
  readonly order: Shop["order"];
  readonly #parts: readonly Part[];
  /** The errors that have each scatter. */
  readonly #latentsOf: readonly number[][];

  constructor(shop: Shop, readings: readonly Reading[], mistold: Mistold = {}) {
    this.order = shop.order;
    this.sources = sourcesOf(shop);
    const maker = new PartMaker(shop, this.sources, mistold);
    const groups = new Map<string, Reading[]>();
    for (const reading of readings) {
      const { trial, bench: where, setUp, round, what } = reading;
      const key = [trial, what === "ramp" ? "jig" : where, setUp, round].join("/");
      groups.set(key, [...(groups.get(key) ?? []), reading]);
    }
    this.#parts = [...groups.values()].map((group) => maker.part(group));
    this.size = this.sources.length + SCATTERS.length + maker.latents;
    this.#latentsOf = SCATTERS.map((_, of) => {
      const all = this.#parts.flatMap(({ own }) => own.filter(({ scatter }) => scatter === of));
      return [...new Set(all.map(({ latent }) => latent))];
    });
  }

  /** Whether anything depends on a scatter. */
  informed = (scatter: number): boolean => at(this.#latentsOf, scatter).length > 0;

  #errorsOf({ known, shared, own }: Part, theta: Float64Array): Float64Array {
    const p = this.sources.length;
    const errors = known.slice();
    for (const { error, source, factor } of shared) errors[error]! += factor * theta[source]!;
    for (const { error, latent, scatter, sd, carried } of own) {
      const size = sd * (scatter < 0 ? 1 : Math.exp(theta[p + scatter]!)) * theta[p + 3 + latent]!;
      errors[error]! += size;
      for (const { error: to, factor } of carried) errors[to]! += factor * size;
    }
    return errors;
  }

  /** log prior density, up to a constant; adds its gradient where it is wanted. */
  prior(theta: Float64Array, gradient?: Float64Array): number {
    const p = this.sources.length;
    let log = 0;
    for (const [i, value] of theta.entries()) {
      const isScatter = i >= p && i < p + SCATTERS.length;
      log -= isScatter ? STATED * (value + Math.exp(-2 * value) / 2) : value ** 2 / 2;
      if (gradient) gradient[i]! -= isScatter ? STATED * (1 - Math.exp(-2 * value)) : value;
    }
    return log;
  }

  /** Draws the scatters anew at the errors as they are: ν/s² plus the squares of n errors in units of what is stated, over s², is χ² with ν + n degrees of freedom. */
  rescaled(theta: Float64Array, normal: () => number): Float64Array {
    const p = this.sources.length;
    const out = theta.slice();
    for (const [of, latents] of this.#latentsOf.entries()) {
      if (latents.length === 0) continue;
      const was = Math.exp(theta[p + of]!);
      let [squares, chi] = [STATED, 0];
      for (const k of latents) squares += (was * theta[p + 3 + k]!) ** 2;
      for (let i = 0; i < STATED + latents.length; i++) chi += normal() ** 2;
      const now = Math.sqrt(squares / chi);
      out[p + of] = Math.log(now);
      for (const k of latents) out[p + 3 + k]! *= was / now;
    }
    return out;
  }

  /** log density, up to a constant; first order adds its gradient where it is wanted. */
  log(theta: Float64Array, order: Shop["order"], gradient?: Float64Array): number {
    let log = this.prior(theta, gradient);
    for (const part of this.#parts) log += this.#ofPart(part, theta, order, gradient);
    return log;
  }

  #ofPart(part: Part, theta: Float64Array, order: Shop["order"], gradient?: Float64Array): number {
    const { rig, reads } = part;
    const errors = this.#errorsOf(part, theta);
    const gaps = reads.some(({ probes }) => probes.length > 0);
    const first = gaps && (order === "first" || gradient) ? rig.first(errors) : null;
    const gap = !gaps ? null : order === "first" || gradient ? (first?.gap ?? null) : rig.exact(errors);
    const byError = new Float64Array(errors.length);
    const pull = new Float64Array(rig.probes.length);
    let log = 0;
    for (const { density, shift, bias, probes, nominal, slopes } of reads) {
      let mu = nominal + shift + (bias < 0 ? 0 : at(this.sources, bias).sd * theta[bias]!);
      for (const { error, slope } of slopes) mu += slope * errors[error]!;
      let probe = -1;
      if (gap) for (const one of probes) if (probe < 0 || gap[one]! > gap[probe]!) probe = one;
      if (gap && probe >= 0) mu += gap[probe]!;
      const { log: own, slope } = density(mu);
      log += own;
      if (!gradient) continue;
      if (bias >= 0) gradient[bias]! += slope * at(this.sources, bias).sd;
      if (probe >= 0) pull[probe]! += slope;
      for (const { error, slope: by } of slopes) byError[error]! += slope * by;
    }
    if (!gradient) return log;
    if (first) for (const [e, value] of rig.gradient(pull, first.spring).entries()) byError[e]! += value;
    this.#chain(part, theta, byError, gradient);
    return log;
  }

  /** Adds what a slope by the errors is by the unknowns. */
  #chain({ shared, own }: Part, theta: Float64Array, byError: Float64Array, gradient: Float64Array): void {
    const p = this.sources.length;
    for (const { error, source, factor } of shared) gradient[source]! += factor * byError[error]!;
    for (const { error, latent, scatter, sd, carried } of own) {
      let by = byError[error]!;
      for (const { error: to, factor } of carried) by += factor * byError[to]!;
      const size = sd * (scatter < 0 ? 1 : Math.exp(theta[p + scatter]!));
      gradient[p + 3 + latent]! += by * size;
      if (scatter >= 0) gradient[p + scatter]! += by * size * theta[p + 3 + latent]!;
    }
  }

  /** For every reading at a place: the curvature of −log likelihood by its expectation, and the slopes of that by the unknowns; cells at first order. */
  informationRows(theta: Float64Array): { readonly curvature: number; readonly row: Float64Array }[] {
    const step = 1e-4;
    return this.#parts.flatMap((part) =>
      part.reads.flatMap((read) => {
        const { rig } = part;
        const errors = this.#errorsOf(part, theta);
        const row = new Float64Array(theta.length);
        const byError = new Float64Array(errors.length);
        let mu =
          read.nominal +
          read.shift +
          (read.bias < 0 ? 0 : at(this.sources, read.bias).sd * theta[read.bias]!);
        for (const { error, slope } of read.slopes) {
          byError[error]! += slope;
          mu += slope * errors[error]!;
        }
        if (read.probes.length > 0) {
          const { gap, spring } = rig.first(errors);
          const probe = read.probes.reduce((a, b) => (gap[b]! > gap[a]! ? b : a));
          mu += gap[probe]!;
          const pull = new Float64Array(rig.probes.length);
          pull[probe] = 1;
          for (const [e, value] of rig.gradient(pull, spring).entries()) byError[e]! += value;
        }
        if (read.bias >= 0) row[read.bias]! += at(this.sources, read.bias).sd;
        this.#chain(part, theta, byError, row);
        const small = step * Math.sqrt(1 / Math.max(1, Math.abs(read.density(mu).slope)));
        const curvature = (read.density(mu - small).slope - read.density(mu + small).slope) / (2 * small);
        return curvature > 0 ? [{ curvature, row }] : [];
      }),
    );
  }
}

function sourcesOf({ jigs, setUps, batchSd, moves, references, instruments }: Shop): Source[] {
  return [
    ...[...jigs].map(([name, { sd }]) => ({ name: `ramp of ${name}`, sd })),
    ...setUps.map(({ name, stopSd }) => ({ name: `stop of ${name}`, sd: stopSd })),
    { name: "thickness of the batch", sd: batchSd },
    ...moves.map(({ kind, of, round, sd }) => ({ name: `${kind} of ${of} in ${round}`, sd })),
    ...[...references].map(([name, sd]) => ({ name: `reference of ${name}`, sd })),
    ...[...instruments].map(([name, { biasSd }]) => ({ name: `bias of ${name}`, sd: biasSd })),
  ].filter(({ sd }) => sd > 0);
}

/** Makes the parts of all trials; numbers the errors that differ from cut to cut. */
class PartMaker {
  readonly #shop: Shop;
  readonly #sources: readonly Source[];
  readonly #mistold: Mistold;
  readonly #names = new Map<string, number>();
  readonly #rigs = new Map<string, Rig>();

  constructor(shop: Shop, sources: readonly Source[], mistold: Mistold) {
    this.#shop = shop;
    this.#sources = sources;
    this.#mistold = mistold;
  }

  get latents(): number {
    return this.#names.size;
  }

  part(readings: readonly Reading[]): Part {
    const reading = at(readings, 0);
    const shop = this.#shop;
    const whole = reading.bench === "cell" || reading.bench === "none";
    const setUp = shop.setUps.find(({ name }) => name === reading.setUp);
    const rig = this.#rig(whole ? "cell" : reading.bench, whole ? undefined : setUp);
    const cuts = this.#cutsOf(rig, whole ? undefined : setUp);
    const source = (name: string): number => this.#sources.findIndex((one) => one.name === name);
    const known = new Float64Array(rig.errors.length);
    const shared: Part["shared"][number][] = [];
    const add = (error: number, name: string, factor = 1): void => {
      const index = source(name);
      if (index >= 0 && factor !== 0)
        shared.push({ error, source: index, factor: factor * at(this.#sources, index).sd });
    };
    const now = shop.rounds.indexOf(reading.round);
    const made = shop.moves.filter(({ round }) => shop.rounds.indexOf(round) <= now);
    const acts = (error: number, kind: "ramp" | "stop", of: string): void => {
      add(error, `${kind} of ${of}`);
      for (const move of made) {
        if (move.kind !== kind || move.of !== of) continue;
        known[error]! += move.by;
        add(error, `${kind} of ${of} in ${move.round}`);
      }
    };
    for (const [e, { kind, owner }] of rig.errors.entries()) {
      if (kind === "thickness") add(e, "thickness of the batch");
      if (kind === "turn" && owner === rig.layout.reference) add(e, `reference of ${reading.bench}`);
      const cut = cuts.get(owner);
      if (!cut) continue;
      if (kind === "angle") acts(e, "ramp", cut.setUp.jig);
      if (kind === "axial") {
        acts(e, "stop", cut.setUp.name);
        add(e, "thickness of the batch", cut.fence);
      }
    }
    const reads = readings.map((one) => this.#read(rig, one, cuts, source(`bias of ${one.instrument}`)));
    const gaps = reads.some(({ probes }) => probes.length > 0);
    const used = new Set(reads.flatMap(({ slopes }) => slopes.map(({ error }) => error)));
    const own = rig.errors.flatMap(({ kind, owner }, error): Own[] => {
      const carried =
        kind === "thickness"
          ? [...cuts].flatMap(([face, { fence }]) =>
              fence !== 0 && face.startsWith(`${owner}.`)
                ? [{ error: rig.indexOf("axial", face), factor: fence }]
                : [],
            )
          : [];
      const sd =
        reading.what === "ramp"
          ? 0
          : this.#sdOf(kind, owner, reading.bench === "cell" || reading.bench === "none", cuts);
      const matters = gaps || used.has(error) || carried.some(({ error: to }) => used.has(to));
      if (sd === 0 || !matters) return [];
      return [
        {
          error,
          sd,
          scatter: SCATTER_OF[kind],
          carried,
          latent: this.#latent(reading, rig, cuts, kind, owner),
        },
      ];
    });
    return { rig, known, shared, own, reads };
  }

  #rig(name: string, setUp: SetUp | undefined): Rig {
    const J = setUp ? (this.#shop.jigs.get(setUp.jig)?.ramp ?? 0) : 0;
    const key = `${name} ${J}`;
    const rig =
      this.#rigs.get(key) ??
      new Rig(
        name === "cell" ? squareCell(this.#shop) : bench(name, this.#shop, J),
        this.#mistold.pressRatio,
      );
    this.#rigs.set(key, rig);
    return rig;
  }

  /** The cuts of a rig that have errors: their set-up, and what a thicker strip does to them by the fence. */
  #cutsOf(rig: Rig, trial: SetUp | undefined) {
    const { setUps, jigs } = this.#shop;
    const cuts = new Map<string, { setUp: SetUp; fence: number; group: string }>();
    for (const { name, cuts: own } of rig.layout.pieces)
      for (const { face, role, group, J } of own) {
        const setUp = trial ?? setUps.find((one) => one.cuts.includes(group));
        if (!setUp || role === "square") continue;
        const fence = jigs.get(setUp.jig)?.fence ?? "centred";
        const sign = fence === "centred" ? 0 : fence === "long-side" ? -1 : 1;
        const factor = (this.#mistold.fenceSign ?? 1) * sign * (Math.tan(J) / 2);
        cuts.set(`${name}.${face}`, { setUp, fence: factor, group });
      }
    return cuts;
  }

  #sdOf(kind: ErrorPlace["kind"], owner: string, whole: boolean, cuts: ReadonlyMap<string, unknown>): number {
    const { scatter, grid } = this.#shop;
    if (kind === "turn" || kind === "offset") return whole ? grid[kind] : 0;
    if (kind === "thickness") return scatter.thickness;
    if (!cuts.has(owner)) return 0;
    return kind === "angle" ? scatter.angle : scatter.length;
  }

  /** The number of the error that a cut, piece or wall has by itself; a trial piece keeps its own from bench to bench. */
  #latent(
    { trial, bench: where, setUp }: Reading,
    rig: Rig,
    cuts: ReadonlyMap<string, { group: string; setUp: SetUp }>,
    kind: string,
    owner: string,
  ): number {
    let name = owner;
    const isTrialPiece =
      setUp !== "" && where !== "cell" && (where === "none" || rig.layout.pieces.length === 1);
    if (isTrialPiece && kind === "thickness") name = "piece";
    const cut = cuts.get(owner);
    if (isTrialPiece && cut?.setUp.name === setUp) {
      const piece = owner.split(".")[0];
      const alike = [...cuts].filter(
        ([face, one]) => face.split(".")[0] === piece && one.setUp.name === setUp,
      );
      name = alike.length === 1 ? "only cut" : owner.endsWith("left") ? "left cut" : "right cut";
    }
    const key = `${trial}/${name} ${kind}`;
    const number = this.#names.get(key) ?? this.#names.size;
    this.#names.set(key, number);
    return number;
  }

  #read(rig: Rig, reading: Reading, cuts: ReadonlyMap<string, { setUp: SetUp }>, bias: number): Read {
    const instrument = this.#shop.instruments.get(reading.instrument);
    if (!instrument) throw new Error(`${reading.id}: no instrument ${reading.instrument}`);
    const density = densityOf(reading, instrument, this.#shop.mistakes);
    const common = { density, shift: instrument.bias, bias };
    if (reading.what === "gap") {
      const probes = [...rig.probes.entries()].flatMap(([i, { joint, at: end }]) =>
        joint === reading.subject && (reading.at === "widest" || reading.at === end) ? [i] : [],
      );
      if (probes.length === 0) throw new Error(`${reading.id}: no joint ${reading.subject}`);
      return { ...common, probes, nominal: 0, slopes: [] };
    }
    return { ...common, probes: [], ...this.#linear(rig, reading, cuts) };
  }

  #linear(rig: Rig, { id, what, subject, setUp }: Reading, cuts: ReadonlyMap<string, { setUp: SetUp }>) {
    const { strip } = rig.layout;
    const slope = (kind: ErrorPlace["kind"], owner: string, by: number) => ({
      error: rig.indexOf(kind, owner),
      slope: by,
    });
    if (what === "angle" || what === "ramp") {
      for (const { name, cuts: own } of rig.layout.pieces)
        for (const { face, J } of own) {
          const full = `${name}.${face}`;
          const ours = cuts.get(full)?.setUp;
          const meant =
            what === "ramp"
              ? ours?.jig === subject
              : subject === full || (subject === face && ours?.name === setUp);
          if (meant) return { nominal: J, slopes: [slope("angle", full, 1)] };
        }
      throw new Error(`${id}: no cut ${subject}`);
    }
    const piece = rig.layout.pieces.find(({ name }) => name === subject.split(".")[0]);
    if (!piece) throw new Error(`${id}: no piece ${subject}`);
    if (what === "thickness") return { nominal: strip, slopes: [slope("thickness", piece.name, 1)] };
    const ofFace = (end: number, side: number) => {
      const found = piece.cuts.find((one) => one.s === end && one.side === side);
      if (!found) throw new Error(`${id}: ${piece.name} has no such cut`);
      return {
        ...found,
        name: `${piece.name}.${found.face}`,
        T: Math.tan(found.J),
        secant: 1 / Math.cos(found.J) ** 2,
      };
    };
    const slopes: Read["slopes"][number][] = [];
    if (what === "length") {
      for (const end of [-1, 1]) {
        const [l, r] = [ofFace(end, 1), ofFace(end, -1)];
        const y = (l.a - r.a) / (l.T + r.T);
        const [left, right] = [r.T / (l.T + r.T), l.T / (l.T + r.T)];
        slopes.push(slope("axial", l.name, left), slope("angle", l.name, -left * y * l.secant));
        slopes.push(slope("axial", r.name, right), slope("angle", r.name, right * y * r.secant));
      }
      return { nominal: piece.length, slopes };
    }
    if (what !== "shoulder") throw new Error(`${id}: ${what} is not read here`);
    let nominal = 0;
    for (const end of [-1, 1]) {
      const { a, T, secant, name } = ofFace(end, subject.endsWith("left") ? 1 : -1);
      nominal += a - (strip / 2) * T;
      slopes.push(slope("axial", name, 1), slope("angle", name, (-strip / 2) * secant));
      slopes.push(slope("thickness", piece.name, -T / 2));
    }
    return { nominal, slopes };
  }
}
