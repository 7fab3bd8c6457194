import { parse } from "node:path";
import type { Output } from "./types.js";

/** What stands in a shared notebook for a folder of the machine it ran on. */
export interface PathName {
  /** Absolute path. */
  readonly path: string;
  /** What is written instead. */
  readonly as: string;
}

/**
 * Outputs with the machine's own folders replaced by names, so that a notebook can be passed on. A path counts only
 * as a whole: `/home/ann` is not found in `/home/anna`. The root of a disk is left alone, and so are pictures other
 * than SVG.
 */
export function hidePaths(outputs: readonly Output[], names: readonly PathName[]): Output[] {
  const rules = names
    .filter(({ path }) => parse(path).root !== path)
    .sort((a, b) => b.path.length - a.path.length)
    .map(({ path, as }) => ({
      pattern: new RegExp(`(?<![\\w.-])${escapePattern(path)}(?![\\w-])`, "g"),
      as,
    }));
  const hide = (text: string): string =>
    rules.reduce((done, { pattern, as }) => done.replaceAll(pattern, () => as), text);
  return outputs.map((output) => mapStrings(output, hide) as Output);
}

const escapePattern = (text: string): string => text.replace(/[\\^$.*+?()[\]{}|]/g, "\\$&");

const isPixels = (mime: string): boolean => mime.startsWith("image/") && mime !== "image/svg+xml";

function mapStrings(value: unknown, change: (text: string) => string): unknown {
  if (typeof value === "string") return change(value);
  if (Array.isArray(value)) return value.map((item) => mapStrings(item, change));
  if (typeof value !== "object" || value === null) return value;
  return Object.fromEntries(
    Object.entries(value).map(([key, item]) => [key, isPixels(key) ? item : mapStrings(item, change)]),
  );
}
