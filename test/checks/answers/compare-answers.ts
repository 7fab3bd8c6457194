/** A number of an answer and where it stands: `sources[2].estimate`. */
export type Numbers = ReadonlyMap<string, number>;

/** Keys that were renamed on purpose since commit a1ff80b: whole keys or paths of keys, old → new. */
export const RENAMED: readonly (readonly [string, string])[] = [
  ["trustedTo", "priorSd"],
  ["now", "current"],
  ["effectiveDraws", "effectiveSampleSize"],
  ["trialWorth", "valueOfInformation"],
  ["settling", "signReadings"],
  ["depthScatter", "depthSd"],
  ["worstGap", "widestGap"],
  ["worstPress", "deepestPress"],
  ["worstGapUncertainty", "widestGapUncertainty"],
  ["worstGapUncertaintyAfter", "widestGapUncertaintyAfter"],
];

/** Numbers that were added on purpose since then, as patterns of their paths. */
export const ADDED: readonly RegExp[] = [/^check\.right$/];

/** Numbers that were left out on purpose since then, as patterns of their paths before. */
export const LEFT_OUT: readonly RegExp[] = [];

/** Numbers that may have become a multiple on purpose: an opening that is off is given by its clear side, no longer by each of its two walls. */
export const MULTIPLIED: readonly { readonly path: RegExp; readonly factor: number }[] = [
  { path: /^hypotheses\[\d+\]\.sizes\[\d+\]\.(size|interval\[\d\])$/, factor: 2 },
];

/** What changed on purpose between two commits. */
export interface Intended {
  readonly renamed: typeof RENAMED;
  readonly added: typeof ADDED;
  readonly leftOut: typeof LEFT_OUT;
  readonly multiplied?: typeof MULTIPLIED;
}

/** Two answers of one command, number by number. */
export interface Comparison {
  readonly before: number;
  readonly after: number;
  /** Numbers that stand under a renamed key. */
  readonly renamed: number;
  /** Added and left out on purpose. */
  readonly added: number;
  readonly leftOut: number;
  /** Largest difference of two numbers of one path, as a share of the larger. */
  readonly largest: number;
  /** Those that differ by more than the bound, each as `path: before → after`. */
  readonly different: readonly string[];
}

/** Every number of an answer by its path, in their order. Truth values, null and texts that do not begin with a number are passed over. */
export function numbersOf(answer: unknown, path = ""): Map<string, number> {
  if (typeof answer === "number") return new Map([[path, answer]]);
  if (typeof answer === "string") {
    const [number] = answer.replace("−", "-").match(/^-?\d+(\.\d+)?(e[-+]?\d+)?(?=$|[ °])/i) ?? [];
    return new Map(number === undefined ? [] : [[path, Number(number)]]);
  }
  if (typeof answer !== "object" || answer === null) return new Map();
  const parts = Array.isArray(answer)
    ? answer.map((part, at) => numbersOf(part, `${path}[${at}]`))
    : Object.entries(answer).map(([key, part]) => numbersOf(part, path === "" ? key : `${path}.${key}`));
  return new Map(parts.flatMap((part) => [...part]));
}

/**
 * Compares pairwise by path, after the renamed keys are put in place.
 *
 * @param within how far two numbers may lie apart, as a share of the larger, ≥ 0; 0 asks for the same bits
 */
export function compareAnswers(
  before: Numbers,
  after: Numbers,
  intended: Intended,
  within: number,
): Comparison {
  const different: string[] = [];
  const missing = new Set(after.keys());
  let [renamed, leftOut, largest] = [0, 0, 0];
  for (const [path, value] of before) {
    const now = after.has(path) ? path : renamedPath(path, intended.renamed);
    const other = after.get(now);
    if (other === undefined) {
      if (intended.leftOut.some((pattern) => pattern.test(path))) leftOut++;
      else different.push(`${path}: ${value} → nothing${now === path ? "" : ` at ${now}`}`);
      continue;
    }
    missing.delete(now);
    if (now !== path) renamed++;
    const { factor = 1 } = intended.multiplied?.find(({ path: pattern }) => pattern.test(now)) ?? {};
    const apart = Math.min(shareApart(value, other), shareApart(factor * value, other));
    largest = Math.max(largest, apart);
    if (apart > within) different.push(`${now}: ${value} → ${other}`);
  }
  const news = [...missing].filter((path) => !intended.added.some((pattern) => pattern.test(path)));
  different.push(...news.map((path) => `${path}: nothing → ${after.get(path)}`));
  const added = missing.size - news.length;
  return { before: before.size, after: after.size, renamed, added, leftOut, largest, different };
}

/** Difference of two numbers as a share of the larger. */
const shareApart = (a: number, b: number): number =>
  a === b ? 0 : Math.abs(a - b) / Math.max(Math.abs(a), Math.abs(b));

function renamedPath(path: string, renamed: typeof RENAMED): string {
  return renamed.reduce((now, [from, to]) => {
    const whole = from.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
    return now.replace(new RegExp(`(?<=^|\\.)${whole}(?=$|[.[])`, "g"), to);
  }, path);
}
