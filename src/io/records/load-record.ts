import { isMap, isNode, isScalar } from "yaml";
import { type LengthUnit, parseAngle, parseLength } from "../../core/quantity/index.js";
import { describe } from "../../core/quantity/quantity-error.js";
import { faultSentence, JobError, type JobFault, listed, nearest, orRefuse } from "../faults.js";
import { readText } from "../files.js";
import { readYaml, type YamlText } from "../yaml/read-yaml.js";
import type { JigRecord, LeanRecord, RampRecord, StopRecord } from "./jig-record.js";

/** Every key of a record, with a value that it takes. */
const EXAMPLES: Readonly<Record<string, string>> = {
  from: "Alcove screen",
  date: "2026-03-21",
  ramps: "{ point-45: { ramp: 45 deg, error: 0.31 deg, uncertainty: 0.03 deg } }",
  ramp: "45 deg",
  error: "0.31 deg",
  uncertainty: "0.03 deg",
  leans: "{ bevel-22: { error: 0.36 deg, uncertainty: 0.03 deg } }",
  stops:
    "{ key-end: { jig: point-45, cuts: [key.end], opening: 60 mm, strip: 4 mm, error: 0.1 mm, uncertainty: 0.02 mm } }",
  jig: "point-45",
  cuts: "[key.end]",
  cell: '"diamond, height 45"',
  opening: "60 mm",
  strip: "4 mm",
};

type Path = readonly string[];

/**
 * Loads a jig's record as `sukima record` writes it: `from`, `date`, `ramps` and `leans` by jig, `stops` by set-up. Bare numbers are in degrees and mm.
 *
 * @throws JobError with everything that is wrong in the file
 */
export function loadRecord(file: string): JigRecord {
  const reader = new RecordReader(file);
  const ramps = reader.entries("ramps").map(([name, path]): [string, RampRecord] => {
    reader.keys(path, ["ramp", "error", "uncertainty"]);
    return [
      name,
      {
        ramp: reader.angle([...path, "ramp"], "positive"),
        error: reader.angle([...path, "error"], "any"),
        uncertainty: reader.angle([...path, "uncertainty"], "positive"),
      },
    ];
  });
  const leans = reader.entries("leans").map(([name, path]): [string, LeanRecord] => {
    reader.keys(path, ["error", "uncertainty"]);
    return [
      name,
      {
        error: reader.angle([...path, "error"], "any"),
        uncertainty: reader.angle([...path, "uncertainty"], "positive"),
      },
    ];
  });
  const stops = reader.entries("stops").map(([name, path]): [string, StopRecord] => {
    reader.keys(path, ["jig", "cuts", "cell", "opening", "strip", "error", "uncertainty"]);
    return [
      name,
      {
        jig: reader.text([...path, "jig"]),
        cuts: reader.list([...path, "cuts"]),
        ...(reader.has([...path, "cell"]) ? { cell: reader.text([...path, "cell"]) } : {}),
        opening: reader.length([...path, "opening"], "positive"),
        strip: reader.length([...path, "strip"], "positive"),
        error: reader.length([...path, "error"], "any"),
        uncertainty: reader.length([...path, "uncertainty"], "positive"),
      },
    ];
  });
  reader.keys([], ["from", "date", "ramps", "leans", "stops"]);
  const [from, date] = [reader.text(["from"]), reader.text(["date"])];
  reader.requireFaultless();
  return { from, date, ramps: new Map(ramps), leans: new Map(leans), stops: new Map(stops) };
}

const UNIT: LengthUnit = "mm";

class RecordReader {
  private readonly yaml: YamlText;
  private readonly faults: JobFault[] = [];
  private readonly file: string;

  constructor(file: string) {
    this.file = file;
    this.yaml = readYaml(readText(file));
    for (const { offset, ...fault } of this.yaml.faults)
      this.faults.push({ file, field: "", ...this.place(offset), ...fault });
    if (!isMap(this.yaml.document?.contents) && this.faults.length === 0)
      this.refuse([], "record", "it is not a group of keys", "it has from, date, ramps and stops");
    this.requireFaultless();
  }

  entries(group: "ramps" | "leans" | "stops"): [string, Path][] {
    const value = this.at([group]);
    if (value === undefined) return [];
    if (!isGroup(value)) {
      this.refuse(
        [group],
        group,
        "this is not a group of named entries",
        "each is a name, a colon and its keys",
      );
      return [];
    }
    return Object.keys(value).flatMap((name): [string, Path][] => {
      if (isGroup(value[name])) return [[name, [group, name]]];
      this.refuse([group, name], name, "it is not a group of keys", "its keys stand between curly brackets");
      return [];
    });
  }

  /** Notes keys that no such group has. */
  keys(path: Path, known: readonly string[]): void {
    for (const key of Object.keys(this.at(path) as object)) {
      if (known.includes(key)) continue;
      const near = nearest(key, known);
      const guess = near === undefined ? "" : `Did you mean ${near}? `;
      const sentence = `The key ${describe(key)} is not known here. ${guess}The keys here are ${listed(known)}.`;
      this.note([...path, key], sentence, near ?? known[0]!);
    }
  }

  angle(path: Path, sign: "any" | "positive"): number {
    return this.amount(path, (value) => parseAngle(value, { sign, what: path.at(-1)! }));
  }

  length(path: Path, sign: "any" | "positive"): number {
    return this.amount(path, (value) => parseLength(value, { unit: UNIT, sign, what: path.at(-1)! }));
  }

  text(path: Path): string {
    const value = this.at(path);
    if (typeof value === "string" && value.trim() !== "") return value.trim();
    const what = path.at(-1)!;
    const problem = value === undefined ? "it is missing" : "it is not a text";
    this.refuse(path, what, problem, "it is a short text");
    return "";
  }

  list(path: Path): string[] {
    const value = this.at(path);
    if (Array.isArray(value) && value.length > 0 && value.every((one) => typeof one === "string"))
      return value;
    this.refuse(path, path.at(-1)!, "it is not a list of cuts", "its members stand between square brackets");
    return [];
  }

  /** @throws JobError with everything noted so far. */
  requireFaultless(): void {
    if (this.faults.length > 0) throw new JobError(this.faults);
  }

  private amount(path: Path, read: (value: unknown) => number): number {
    const value = this.at(path);
    const what = path.at(-1)!;
    if (value === undefined) {
      this.refuse(path, what, "it is missing", "a record gives the label, the error and its uncertainty");
      return Number.NaN;
    }
    const found = orRefuse(
      what,
      value,
      () => read(value),
      (sentence) => this.note(path, sentence, what),
    );
    return found ?? Number.NaN;
  }

  has(path: Path): boolean {
    return this.at(path) !== undefined;
  }

  private at(path: Path): unknown {
    let value: unknown = this.yaml.data;
    for (const key of path) value = isGroup(value) && Object.hasOwn(value, key) ? value[key] : undefined;
    return value;
  }

  private refuse(path: Path, what: string, problem: string, rule: string): void {
    this.note(path, faultSentence({ what, problem, rule }), path.at(-1) ?? "from");
  }

  private note(path: Path, sentence: string, key: string): void {
    const example = `${key}: ${EXAMPLES[key] ?? EXAMPLES.ramps!.replace(/^\{ [\w-]+: (.*) \}$/, "$1")}`;
    this.faults.push({
      file: this.file,
      ...this.place(this.offsetOf(path)),
      field: path.join("."),
      sentence,
      example,
    });
  }

  /** Where a value, or the nearest group around it that the file has, starts. */
  private offsetOf(path: Path): number {
    let node: unknown = this.yaml.document?.contents;
    let offset = 0;
    for (const key of path) {
      if (!isMap(node)) break;
      const pair = node.items.find((item) => isScalar(item.key) && item.key.value === key);
      if (pair === undefined) break;
      offset =
        (isNode(pair.value) ? pair.value.range?.[0] : undefined) ??
        (isNode(pair.key) ? (pair.key.range?.[0] ?? 0) : 0);
      node = pair.value;
    }
    return offset;
  }

  private place(offset: number): { line: number; column: number } {
    const { line, col } = this.yaml.lines.linePos(offset);
    return { line: Math.max(line, 1), column: Math.max(col, 1) };
  }
}

const isGroup = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);
