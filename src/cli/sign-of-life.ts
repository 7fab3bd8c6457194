/** How long a command may be silent, ms: at its start, and after each line. */
const SILENCE = { first: 350, later: 1800 } as const;

/** How often the thread looks whether a line is due, ms: with it no silence exceeds 0.5 s at the start and 2 s later. */
export const LOOK_EVERY = 100;

/** Says when a command that is busy should show that it is alive, and in what words. */
export class SignOfLife {
  readonly #now: () => number;
  readonly #started: number;
  #last: number | null = null;
  #step = "at work";

  /**
   * @param now the time, ms
   * @param started when the command began, by the same clock
   */
  constructor(now: () => number, started: number) {
    this.#now = now;
    this.#started = started;
  }

  /** The command has printed something itself; `step` is what it is doing now, if it said so. */
  spoke(step: string | null): void {
    this.#last = this.#now();
    if (step !== null) this.#step = step;
  }

  /** The step has come further; nothing was printed. */
  further(step: string): void {
    this.#step = step;
  }

  /** The line that is due, or `null` where the last one is recent. */
  due(): string | null {
    const now = this.#now();
    const since = this.#last ?? this.#started;
    if (now - since < (this.#last === null ? SILENCE.first : SILENCE.later)) return null;
    this.#last = now;
    const seconds = Math.round((now - this.#started) / 1000);
    return `… ${this.#step}${seconds === 0 ? "" : `, ${seconds} s so far`}`;
  }
}

/** What the thread is started with. */
export interface LifeStart {
  /** When the process began, ms since 1970. */
  readonly started: number;
  readonly terminal: boolean;
  /** One entry: 1 while a line of the thread stands on the terminal without an end. */
  readonly open: Int32Array;
}

/** What the thread is told: what the command is doing now, or only that it printed. */
export interface LifeMessage {
  readonly step: string | null;
  /** How far the step has come, where that is all there is to tell. */
  readonly further?: string;
}
