const LISTED = 24;
const COMPARED_LENGTH = 60;

/** `a, b and c`; of a long list the first two dozen. */
export function listed(words: readonly string[], joint = "and"): string {
  if (words.length > LISTED)
    return `${words.slice(0, LISTED).join(", ")} ${joint} ${words.length - LISTED} more`;
  const last = words.at(-1) ?? "none";
  return words.length < 2 ? last : `${words.slice(0, -1).join(", ")} ${joint} ${last}`;
}

/** The known word that was most likely meant; `undefined` when none is near. */
export function nearest(word: string, known: readonly string[]): string | undefined {
  if (word.length > COMPARED_LENGTH) return undefined;
  const typed = plain(word);
  let best: string | undefined;
  // A third of the letters may be wrong, and one of any word that is not very short.
  let least = Math.max(typed.length > 2 ? 1 : 0, Math.floor(typed.length / 3)) + 1;
  for (const candidate of known) {
    // Letters too few or too many have to be added or left out.
    if (Math.abs(candidate.length - typed.length) >= least) continue;
    const distance = editDistance(typed, plain(candidate));
    if (distance < least) [best, least] = [candidate, distance];
  }
  return best ?? onlyOneWith(typed, known);
}

const SHORTEST_PART = 3;

/** The one word that `part` is a part of. */
function onlyOneWith(part: string, known: readonly string[]): string | undefined {
  if (part.length < SHORTEST_PART) return undefined;
  const [only, ...others] = known.filter((word) => plain(word).includes(part));
  return others.length === 0 ? only : undefined;
}

/** The known word as it is spelt, for one typed in any mixture of capitals; `undefined` if there is none or more than one. */
export function wordIn<T extends string>(known: readonly T[], typed: string): T | undefined {
  const exact = known.find((word) => word === typed);
  if (exact !== undefined) return exact;
  const [only, ...others] = known.filter((word) => word.toLowerCase() === typed.toLowerCase());
  return others.length === 0 ? only : undefined;
}

/** Problem and rule for a word that is not among those known: `there is no such bench`, `did you mean corner-90? It must be …`. */
export function unknownWord(typed: string, kind: string, known: readonly string[]): [string, string] {
  const near = nearest(typed, known);
  const guess = near === undefined ? "" : `did you mean ${near}? `;
  const choice = known.length === 0 ? "this job has none" : `it must be ${listed(known, "or")}`;
  return [
    `there is no such ${kind}`,
    guess + (guess ? `${choice.charAt(0).toUpperCase()}${choice.slice(1)}` : choice),
  ];
}

const plain = (word: string): string => word.toLowerCase().replace(/[\s_]+/g, "-");

/** Letters to change, add, leave out, or swap with their neighbour. */
function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let least = Math.min(last[j]! + 1, row[j - 1]! + 1, last[j - 1]! + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        least = Math.min(least, before[j - 2]! + 1);
      row.push(least);
    }
    [before, last] = [last, row];
  }
  return last[b.length]!;
}
