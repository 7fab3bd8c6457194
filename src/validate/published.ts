import { readFileSync } from "node:fs";
import { join } from "node:path";

/** Where the figures stand, seen from `src/validate` and `dist/validate` alike. */
export const PUBLISHED_FOLDER = join(import.meta.dirname, "../../data/published");

/** Where a file's figures come from. */
export interface PublishedSource {
  readonly document: string;
  readonly place: string;
  /** How each group of figures came here; see `data/published/README.md`. */
  readonly marks: Readonly<Record<string, readonly string[]>>;
  readonly note?: string;
}

/** Reads `data/published/<name>.json`. The caller states the shape it relies on. */
export function published<T>(name: string): T & { readonly source: PublishedSource } {
  return JSON.parse(readFileSync(join(PUBLISHED_FOLDER, `${name}.json`), "utf8"));
}

/** JSON has no infinity: the files spell it "inf". */
export const number = (value: number | "inf"): number => (value === "inf" ? Infinity : value);
