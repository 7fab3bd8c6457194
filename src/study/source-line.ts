import { binomialBounds } from "./binomial-bounds.js";
import type { SourceTried } from "./try-one.js";

/** `unclear`: off the target, but by no more than chance may do with so few data sets. */
export type Met = "met" | "missed" | "unclear";

/** What is asked of a source's coverage and bias. */
export const TARGETS = {
  /** A source counts as identified when the data take away at least this share of its prior variance on average: the rule by which a fit says that the data speak. */
  identified: 0.2,
  coverage: 0.95,
  /** An identified source's coverage must lie between these … */
  band: [0.93, 0.97],
  /** … another's at or above this. */
  notIdentified: 0.935,
  /** An identified source's bias, as a share of its standard uncertainty. */
  bias: 0.1,
} as const;

/** One source of one world over all data sets. */
export interface SourceLine {
  readonly world: string;
  readonly source: string;
  readonly angular: boolean;
  readonly identified: boolean;
  /** Mean share of the prior variance that the data took away, and of the data sets whose fit says that the prior speaks. */
  readonly learned: number;
  readonly priorSpeaks: number;
  /** Mean error over the mean standard uncertainty, and the standard error of that. */
  readonly bias: number;
  readonly biasError: number;
  /** Share of the 95 % intervals that hold the truth, with bounds that hold for all lines together. */
  readonly coverage: number;
  readonly bounds: readonly [number, number];
  /** Mean width of the intervals, rad or mm. */
  readonly width: number;
  readonly met: { readonly coverage: Met; readonly bias: Met | null; readonly priorSpeaks: Met | null };
}

export interface LineOptions {
  readonly world: string;
  readonly source: string;
  readonly angular: boolean;
  /** Confidence of this line's bounds. */
  readonly confidence: number;
}

export function sourceLine(tried: readonly SourceTried[], options: LineOptions): SourceLine {
  const { confidence, ...names } = options;
  const mean = (of: (one: SourceTried) => number): number =>
    tried.reduce((sum, one) => sum + of(one), 0) / tried.length;
  const learned = mean((one) => one.learned);
  const identified = learned >= TARGETS.identified;
  const hits = tried.filter(({ truth, interval: [low, high] }) => low <= truth && truth <= high).length;
  const bounds = binomialBounds(hits, tried.length, confidence);
  const u = mean((one) => one.standardUncertainty);
  const off = mean((one) => one.estimate - one.truth);
  const variance = mean((one) => (one.estimate - one.truth - off) ** 2);
  const [bias, biasError] = [off / u, Math.sqrt(variance / tried.length) / u];
  const priorSpeaks = mean((one) => (one.fromData ? 0 : 1));
  return {
    ...{ ...names, identified, learned, priorSpeaks, bias, biasError, bounds },
    coverage: hits / tried.length,
    width: mean(({ interval: [low, high] }) => high - low),
    met: {
      coverage: coverageMet(hits / tried.length, bounds, identified),
      bias: identified ? biasMet(Math.abs(bias), biasError) : null,
      priorSpeaks: identified ? null : priorSpeaks > 0.5 ? "met" : "missed",
    },
  };
}

function coverageMet(coverage: number, [low, high]: readonly [number, number], identified: boolean): Met {
  const [least, most] = identified ? TARGETS.band : [TARGETS.notIdentified, 1];
  const consistent = !identified || (low <= TARGETS.coverage && TARGETS.coverage <= high);
  if (consistent && coverage >= least && coverage <= most) return "met";
  return consistent && low <= most && high >= least ? "unclear" : "missed";
}

/** Beyond the target by more than three standard errors is no chance. */
const SURELY = 3;

const biasMet = (bias: number, error: number): Met =>
  bias < TARGETS.bias ? "met" : bias - SURELY * error > TARGETS.bias ? "missed" : "unclear";
