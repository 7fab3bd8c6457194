/** A number of an answer and where it stands: `sources[2].estimate`. */
export type Numbers = ReadonlyMap<string, number>;

/** Keys that were renamed on purpose since commit a1ff80b: whole keys or paths of keys, old → new. */
export const RENAMED: readonly (readonly [string, string])[] = [];

/** Numbers that were added on purpose since then, as patterns of their paths. */
export const ADDED: readonly RegExp[] = [];

/** Numbers that were left out on purpose since then, as patterns of their paths before. */
export const LEFT_OUT: readonly RegExp[] = [];

/** What changed on purpose between two commits. */
export interface Intended {
  readonly renamed: typeof RENAMED;
  readonly added: typeof ADDED;
  readonly leftOut: typeof LEFT_OUT;
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
  /** Each as `path: before → after`. */
  readonly different: readonly string[];
}

/** Every number of an answer by its path, in their order. Text, truth values and null are passed over. */
export function numbersOf(answer: unknown, path = ""): Map<string, number> {
  if (typeof answer === "number") return new Map([[path, answer]]);
  if (typeof answer !== "object" || answer === null) return new Map();
  const parts = Array.isArray(answer)
    ? answer.map((part, at) => numbersOf(part, `${path}[${at}]`))
    : Object.entries(answer).map(([key, part]) => numbersOf(part, path === "" ? key : `${path}.${key}`));
  return new Map(parts.flatMap((part) => [...part]));
}

/** Compares pairwise by path, after the renamed keys are put in place. Numbers are the same when they are equal to the last bit. */
export function compareAnswers(before: Numbers, after: Numbers, intended: Intended): Comparison {
  const different: string[] = [];
  const missing = new Set(after.keys());
  let [renamed, leftOut] = [0, 0];
  for (const [path, value] of before) {
    const now = renamedPath(path, intended.renamed);
    const other = after.get(now);
    if (other === undefined) {
      if (intended.leftOut.some((pattern) => pattern.test(path))) leftOut++;
      else different.push(`${path}: ${value} → nothing${now === path ? "" : ` at ${now}`}`);
      continue;
    }
    missing.delete(now);
    if (now !== path) renamed++;
    if (!Object.is(value, other)) different.push(`${now}: ${value} → ${other}`);
  }
  const news = [...missing].filter((path) => !intended.added.some((pattern) => pattern.test(path)));
  different.push(...news.map((path) => `${path}: nothing → ${after.get(path)}`));
  const added = missing.size - news.length;
  return { before: before.size, after: after.size, renamed, added, leftOut, different };
}

function renamedPath(path: string, renamed: typeof RENAMED): string {
  return renamed.reduce((now, [from, to]) => {
    const whole = from.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");
    return now.replace(new RegExp(`(?<=^|\\.)${whole}(?=$|[.[])`, "g"), to);
  }, path);
}
