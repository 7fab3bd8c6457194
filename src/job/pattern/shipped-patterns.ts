import { readdirSync } from "node:fs";
import { join, resolve } from "node:path";
import type { Pattern } from "./pattern.js";
import { readPattern } from "./read-pattern.js";

/** Where the patterns that come with this project lie. */
const FOLDER = resolve(import.meta.dirname, "../../../data/patterns");
/** The one that the rest of the documentation speaks of comes first. */
const FIRST = "asanoha-square";

/** Names of the patterns that come with this project. */
export const shippedPatterns = (): string[] =>
  readdirSync(FOLDER)
    .filter((name) => name.endsWith(".yaml"))
    .map((name) => name.replace(/\.yaml$/, ""))
    .sort((a, b) => Number(b === FIRST) - Number(a === FIRST) || a.localeCompare(b));

const read = new Map<string, Pattern>();

/** A pattern that comes with this project, by its name; read once. */
export function shippedPattern(name: string): Pattern {
  const pattern = read.get(name) ?? readPattern(join(FOLDER, `${name}.yaml`), true);
  read.set(name, pattern);
  return pattern;
}
