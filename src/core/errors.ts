/** Exit codes of every command. */
export const EXIT = { done: 0, refused: 1, usage: 2, ourFault: 3, interrupted: 130 } as const;

/** Something wrong with what the command line names. */
export class CliError extends Error {
  override readonly name = "CliError";
}

/** Options that do not go together, or one that cannot be understood. */
export class UsageError extends CliError {}

/** Ended by Ctrl-C. */
export class Interrupted extends Error {
  override readonly name = "Interrupted";
}
