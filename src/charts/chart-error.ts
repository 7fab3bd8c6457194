/** Something that cannot be drawn; the message says what is wrong, the rule, the value and where. */
export class ChartError extends Error {
  override readonly name = "ChartError";
}

/** @throws ChartError unless `value` is a finite number. */
export function requireFinite(value: number, what: string): void {
  if (!Number.isFinite(value))
    throw new ChartError(`The ${what} cannot be drawn: it must be a finite number; it is ${value}.`);
}

/** @throws ChartError when there are no rows. */
export function requireRows(rows: readonly unknown[], what: string): void {
  if (rows.length === 0)
    throw new ChartError(`There are no ${what} to draw: a chart needs at least one; it was given 0.`);
}

/** @throws ChartError when an interval that should hold is reversed; open ends (±Infinity) are allowed. */
export function requireInterval(low: number, high: number, what: string): void {
  if (Number.isNaN(low) || Number.isNaN(high) || low > high)
    throw new ChartError(
      `The ${what} cannot be drawn: its lower end must not lie above its upper end; they are ${low} and ${high}.`,
    );
}
