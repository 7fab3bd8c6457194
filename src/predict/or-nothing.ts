/**
 * What is computed from a cell at rest, or `null` where its errors are so wild that its pieces find no rest or its faces do not meet; other faults pass through.
 */
export function orNothing<T>(compute: () => T): T | null {
  try {
    return compute();
  } catch (error) {
    if (error instanceof Error && (error.name === "SeatingError" || error.name === "PredictError"))
      return null;
    throw error;
  }
}
