import type { Entry, Routine } from "./value.js";

/** Which entries are given a variable of their own; the others are written where they are used. */
export function namedEntries({ entries, stores, answers }: Routine): Entry[] {
  const uses = new Map<Entry, number>();
  const use = (entry: Entry): void => {
    uses.set(entry, (uses.get(entry) ?? 0) + 1);
  };
  for (const { from } of entries) from.forEach(use);
  // A store writes a value once for each trial.
  for (const { value } of [...stores, ...stores]) use(value);
  // A test is answered when all is stored, so it must be known before.
  for (const test of [...answers, ...answers]) use(test);
  return entries.filter((entry) => entry.op !== "constant" && uses.get(entry)! > 1);
}
