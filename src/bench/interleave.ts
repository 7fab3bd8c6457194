/** Work on a number of trials. */
export interface Timed {
  readonly name: string;
  readonly trials: number;
  readonly run: () => void;
}

/**
 * Runs each once to warm it up, then all in turn, again and again, so that what disturbs the machine disturbs them alike.
 * Counted is the processor's time, which is the clock's on an idle machine and leaves out most of what others take from it on a busy one.
 *
 * @returns for each, ns a trial in every repeat.
 */
export function interleave(tasks: readonly Timed[], repeats: number): Map<string, number[]> {
  const times = new Map(tasks.map(({ name }) => [name, [] as number[]]));
  for (let repeat = -1; repeat < repeats; repeat++) {
    for (const { name, trials, run } of tasks) {
      const start = process.cpuUsage();
      run();
      const { user, system } = process.cpuUsage(start);
      if (repeat >= 0) times.get(name)!.push((1000 * (user + system)) / trials);
    }
  }
  return times;
}

/** Ratios of two tasks repeat by repeat. */
export const ratios = (of: readonly number[], to: readonly number[]): number[] =>
  of.map((x, k) => x / to[k]!);
