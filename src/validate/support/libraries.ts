/** The library, or `null` when it is not installed: some are needed by checks only. */
export async function installed<T>(load: () => Promise<T>): Promise<T | null> {
  try {
    return await load();
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === "ERR_MODULE_NOT_FOUND") return null;
    throw error;
  }
}
