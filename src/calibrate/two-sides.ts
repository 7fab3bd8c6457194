/** One of two places where a source may lie; rad or mm. */
export interface Side {
  /** Share of the posterior's draws on this side, 0 to 1. */
  readonly share: number;
  /** Mean and standard deviation of the draws on it. */
  readonly estimate: number;
  readonly standardUncertainty: number;
}

/** A source whose size the readings tell and whose sign they do not: what it is on either side of zero. */
export interface TwoSides {
  readonly above: Side;
  readonly below: Side;
}

/** The less likely sign is left open while it has more than this share of the draws: a 95 % interval reaches it. */
const OPEN = 0.025;
/** A side is a place of its own when its mean is more than this many of its standard deviations from zero. (The half of a normal law about zero has 1.3, the tail of one beyond zero less.) */
const OWN_PLACE = 2;

/**
 * The two sides of source i among draws from the posterior, row-major (draw, source); `null` where its sign is told, or its size is not.
 * A gap read at the wider of front and back is as wide whichever way a ramp leans.
 */
export function twoSides(sample: Float64Array, p: number, i: number): TwoSides | null {
  const values = Array.from({ length: sample.length / p }, (_, d) => sample[d * p + i]!);
  const above = values.filter((value) => value >= 0);
  const below = values.filter((value) => value < 0);
  if (Math.min(above.length, below.length) <= OPEN * values.length) return null;
  const sides = { above: sideOf(above, values.length), below: sideOf(below, values.length) };
  const apart = Object.values(sides).every(
    ({ estimate, standardUncertainty }) => Math.abs(estimate) > OWN_PLACE * standardUncertainty,
  );
  return apart ? sides : null;
}

function sideOf(values: readonly number[], of: number): Side {
  const estimate = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - estimate) ** 2, 0);
  return {
    ...{ estimate, share: values.length / of },
    standardUncertainty: Math.sqrt(squares / values.length),
  };
}

/** The side with more draws, the upper where both have as many. */
export const likelierSide = ({ above, below }: TwoSides): Side =>
  above.share >= below.share ? above : below;

/** Both sides in another unit of the source, `unit` of the new one to one of the old. */
export function inUnitsOf({ above, below }: TwoSides, unit: number): TwoSides {
  const scaled = ({ share, estimate, standardUncertainty: u }: Side): Side => ({
    share,
    estimate: estimate * unit,
    standardUncertainty: u * unit,
  });
  return { above: scaled(above), below: scaled(below) };
}
