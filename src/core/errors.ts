/** Exit codes of every command. */
export const EXIT = { done: 0, refused: 1, usage: 2, ourFault: 3, interrupted: 130 } as const;

/** The kinds of {@link UserError}. The codes are stable, so programs may branch on them. */
export type ErrorCode =
  /** Options of a command exclude each other, or an option has no meaning. */
  | "usage"
  /** A command cannot do what was asked with the files it was given. */
  | "command"
  /** A length, an angle or a format option cannot be used ({@link QuantityError}). */
  | "quantity"
  /** A job, a pattern or a table breaks a rule (JobError, which lists every fault). */
  | "job"
  /** A file cannot be written. */
  | "file"
  /** A cell or bench cannot be built at the sizes asked for. */
  | "cell"
  /** Cutting errors are outside the range of the model. */
  | "cutting-error"
  /** The pieces of a cell reach no equilibrium, or are not held. */
  | "seating"
  | "forecast"
  | "explanation"
  | "panel"
  | "season"
  | "cut-list"
  | "tolerances"
  | "gauge"
  | "mystery"
  /** There is no picture with this name, or the job lacks the data it shows. */
  | "picture"
  /** Values that cannot be drawn. */
  | "chart"
  /** A notebook cannot be read, run or shown (NotebookError, which has the details). */
  | "notebook";

/**
 * An error whose message is written for the person who uses the program: what is wrong; the rule; the value.
 * The `code` says which error it is; a subclass exists only where an error carries more than its message.
 */
export class UserError extends Error {
  override readonly name: string = "UserError";
  /** Key of the job file, or heading of the table, that it is about, from the top of the file: `["panel", "rows"]`; empty where the message names the place. */
  readonly key: readonly string[];

  constructor(
    readonly code: ErrorCode,
    message: string,
    options: ErrorOptions & { readonly key?: readonly string[] } = {},
  ) {
    super(message, options);
    this.key = options.key ?? [];
  }
}

/**
 * Whether `error` is a {@link UserError} with one of these codes; with none given, any.
 *
 * @example
 * isUserError(new RangeError("none of ours"), "job") // false
 */
export const isUserError = <C extends ErrorCode>(
  error: unknown,
  ...codes: readonly C[]
): error is UserError & { readonly code: C } =>
  error instanceof UserError && (codes.length === 0 || (codes as readonly ErrorCode[]).includes(error.code));

/** Throws a RangeError for an argument that only a programming mistake can produce. The message says what is wrong, the rule, the value and where. */
export function refuse(what: string, rule: string, value: unknown, where: string): never {
  throw new RangeError(`${what}; ${rule}; got ${String(value)}; in ${where}`);
}
