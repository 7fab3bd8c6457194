import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";

/** Rough pieces of one length. */
export interface Demand {
  readonly name: string;
  /** mm, > 0. */
  readonly length: number;
  readonly count: number;
}

/** Lengths of stock and what the saw takes. */
export interface StockOptions {
  /** Lengths to be had, mm. */
  readonly lengths: readonly number[];
  /** Width of the saw's cut between two pieces, mm, ≥ 0. */
  readonly kerf: number;
  /** Cut off every stick, both ends together, mm, ≥ 0. */
  readonly ends: number;
}

/** Sticks that are cut up alike. */
export interface StickPlan {
  /** Length of the stick, mm, and the number of sticks cut this way. */
  readonly stock: number;
  readonly sticks: number;
  /** Pieces of one stick, longest first: length in mm and number of pieces. */
  readonly pieces: readonly { readonly name: string; readonly length: number; readonly count: number }[];
  /** What is left of one stick, mm. */
  readonly left: number;
}

/** Which sticks to buy and how each is cut up; lengths mm. */
export interface PackedStock {
  readonly plans: readonly StickPlan[];
  /** How many sticks of each length of stock, mm, shortest first. */
  readonly buy: readonly { readonly stock: number; readonly sticks: number }[];
  /** Length bought, and no plan whatever can do with less than `least`, mm. */
  readonly bought: number;
  readonly least: number;
  /** Length of the rough pieces themselves, mm. */
  readonly used: number;
}

/** A length that fits to this is taken to fit, mm. */
const TOLERANCE = 1e-6;

interface Stick {
  stock: number;
  readonly pieces: Map<number, number>;
  /** Pieces with a cut each, mm. */
  filled: number;
}

/**
 * Packs pieces into sticks: the longest first, each into the first stick that has room, the next new stick of the longest stock; then each stick becomes the shortest that holds its
 * pieces. Done once for each longest length allowed, and the least length bought wins. First fit decreasing takes at most 11/9 of the fewest sticks and 6/9 of one more
 * (G. Dósa, 2007, from memory); `least` says how far this plan may be from the best.
 *
 * @throws UserError (code "cut-list") when a piece is longer than any stick.
 * @example
 * packStock([{ name: "hinge", length: 45, count: 20 }], { lengths: [1000], kerf: 1.5, ends: 10 }).buy[0].sticks // 1
 */
export function packStock(demands: readonly Demand[], options: StockOptions): PackedStock {
  const wanted = demands
    .map((demand, index) => ({ ...demand, index }))
    .filter(({ count }) => count > 0)
    .sort((a, b) => b.length - a.length || a.index - b.index);
  const lengths = [...options.lengths].sort((a, b) => a - b);
  const longest = at(lengths, lengths.length - 1);
  const room = (stock: number): number => stock - options.ends;
  const used = wanted.reduce((sum, { length, count }) => sum + length * count, 0);
  const [first] = wanted;
  if (first === undefined) return { plans: [], buy: [], bought: 0, least: 0, used: 0 };
  if (first.length > room(longest) + TOLERANCE)
    throw new UserError(
      "cut-list",
      `No stick is long enough for one ${first.name}: it takes ${first.length.toFixed(1)} mm, and the longest stick leaves ${room(longest).toFixed(1)} mm once its ends are cut off. Write longer lengths into the section stock.`,
      { key: ["stock", "lengths"] },
    );
  const tries = lengths
    .filter((length) => room(length) + TOLERANCE >= first.length)
    .map((most) =>
      sticksOf(
        wanted,
        lengths.filter((length) => length <= most),
        options,
      ),
    );
  const bought = (sticks: readonly Stick[]): number => sticks.reduce((sum, { stock }) => sum + stock, 0);
  const best = tries.reduce((a, b) => (bought(b) < bought(a) ? b : a));
  return {
    plans: plansOf(best, demands, options),
    buy: lengths.flatMap((stock) => {
      const sticks = best.filter((one) => one.stock === stock).length;
      return sticks > 0 ? [{ stock, sticks }] : [];
    }),
    bought: bought(best),
    least: leastLength(wanted, lengths, options),
    used,
  };
}

function sticksOf(
  wanted: readonly (Demand & { readonly index: number })[],
  lengths: readonly number[],
  { kerf, ends }: StockOptions,
): Stick[] {
  const sticks: Stick[] = [];
  // A stick of n pieces has n − 1 cuts between them: with a cut for each piece it may be one kerf longer.
  const capacity = (stock: number): number => stock - ends + kerf + TOLERANCE;
  const longest = lengths.at(-1)!;
  for (const { length, count, index } of wanted) {
    const taken = length + kerf;
    let at = 0;
    for (let piece = 0; piece < count; piece++) {
      // Sticks passed over for this length stay full for it.
      while (at < sticks.length && sticks[at]!.filled + taken > capacity(longest)) at++;
      if (at === sticks.length) sticks.push({ stock: longest, pieces: new Map(), filled: 0 });
      const stick = sticks[at]!;
      stick.filled += taken;
      stick.pieces.set(index, (stick.pieces.get(index) ?? 0) + 1);
    }
  }
  for (const stick of sticks)
    stick.stock = lengths.find((stock) => stick.filled <= capacity(stock)) ?? longest;
  return sticks;
}

/** Less wood than this no plan can take: every stick holds a kerf more than its length less the ends, and each long piece more than half of one needs a stick of its own. */
function leastLength(
  wanted: readonly Demand[],
  lengths: readonly number[],
  { kerf, ends }: StockOptions,
): number {
  const filled = wanted.reduce((sum, { length, count }) => sum + (length + kerf) * count, 0);
  const [shortest, longest] = [at(lengths, 0), at(lengths, lengths.length - 1)];
  const holds = (stock: number): number => stock - ends + kerf;
  const sticks = Math.ceil(filled / holds(longest) - TOLERANCE);
  const alone = wanted
    .filter(({ length }) => 2 * (length + kerf) > holds(longest) + TOLERANCE)
    .reduce((sum, { count }) => sum + count, 0);
  if (lengths.length === 1) return Math.max(sticks, alone) * longest;
  const perLength = Math.min(
    ...lengths.filter((stock) => holds(stock) > 0).map((stock) => stock / holds(stock)),
  );
  return Math.max(filled * perLength, Math.max(sticks, alone) * shortest);
}

function plansOf(
  sticks: readonly Stick[],
  demands: readonly Demand[],
  { kerf, ends }: StockOptions,
): StickPlan[] {
  const plans = new Map<string, StickPlan>();
  for (const { stock, pieces, filled } of sticks) {
    const key = `${stock}: ${[...pieces].join(" ")}`;
    const known = plans.get(key);
    const left = Math.max(0, stock - ends - (filled - kerf));
    plans.set(key, {
      stock,
      left,
      sticks: (known?.sticks ?? 0) + 1,
      pieces: [...pieces].map(([index, count]) => ({
        name: at(demands, index).name,
        length: at(demands, index).length,
        count,
      })),
    });
  }
  return [...plans.values()];
}
