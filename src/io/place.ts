import type { LengthUnit } from "../core/quantity/index.js";
import { jobFile } from "./files.js";
import { type KeyPath, YamlSource } from "./yaml/yaml-source.js";

/**
 * The position of a key of a job, for a message: `my-screen/job.yaml, line 12: panel.rows`; for a table, the file and its column. Without a line if the file lacks the key or cannot be read.
 *
 * @param path the job's folder, its file, or a table
 */
export function placeOf(path: string, key: KeyPath = []): string {
  const named = key.length === 0 ? "" : `: ${key.join(".")}`;
  if (TABLE.test(path)) return path + named;
  try {
    const file = jobFile(path);
    const source = YamlSource.read(file);
    const { line } = source.fault(key, "");
    const known = key.length > 0 && source.at(key.slice(0, 1)) !== undefined;
    return `${file}${known && line > 0 ? `, line ${line}` : ""}${named}`;
  } catch {
    return path + named;
  }
}

/** The units of the job in a folder or file, for a message; mm for a table, or a job that cannot be read. */
export function unitsOf(path: string): LengthUnit {
  if (TABLE.test(path)) return "mm";
  try {
    return YamlSource.read(jobFile(path)).units;
  } catch {
    return "mm";
  }
}

const TABLE = /\.(?:csv|tsv|txt)$/i;
