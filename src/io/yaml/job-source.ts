import { isMap, isScalar, isSeq } from "yaml";
import { type $ZodIssue, type $ZodType, type output, safeParse } from "zod/v4/core";
import { faultSentence, JobError, type JobFault } from "../faults.js";
import { readText } from "../files.js";
import { issueFaults } from "./fields.js";
import { JOB_SPELLING, type Spelling } from "./job-examples.js";
import { readYaml, resolved, startOf, type YamlText } from "./read-yaml.js";

/** Keys and indices of lists from the top of a job file to one of its values. */
export type JobPath = readonly (string | number)[];

export interface RefuseOptions {
  /** Default: the usual example for that key. */
  readonly example?: string;
}

const LONGEST_NAME = 60;
const MOST_NAMES = 500;

const isName = (name: string): boolean =>
  name.trim() === name && name !== "" && name.length <= LONGEST_NAME && !/\p{C}/u.test(name);

/** A job file as it was typed: hands out its values by path, and gathers what is wrong with their places. */
export class JobSource {
  readonly file: string;
  private readonly yaml: YamlText;
  private readonly faults: JobFault[] = [];
  private readonly spelling: Spelling;

  /**
   * @param spelling keys and examples of such a file; default those of a job file
   * @throws JobError when the file cannot be read at all.
   */
  constructor(file: string, spelling: Spelling = JOB_SPELLING) {
    this.file = file;
    this.spelling = spelling;
    this.yaml = readYaml(readText(file));
    for (const { offset, ...fault } of this.yaml.faults)
      this.faults.push({ file, field: "", ...this.lineAndColumn(offset), ...fault });
    if (this.yaml.document === null) this.requireFaultless();
  }

  /** The plain value at a path; `undefined` where there is none. */
  at(path: JobPath): unknown {
    let value = this.yaml.data;
    for (const step of path) {
      if (typeof value !== "object" || value === null || !Object.hasOwn(value, step)) return undefined;
      value = (value as Record<string | number, unknown>)[step];
    }
    return value;
  }

  /** The value at a path in the shape asked for; `undefined` after noting what is wrong with it. */
  take<S extends $ZodType>(path: JobPath, shape: S, options: RefuseOptions = {}): output<S> | undefined {
    const result = safeParse(shape, this.at(path));
    if (result.success) return result.data;
    for (const issue of result.error.issues) this.noteIssue(path, issue, options);
    return undefined;
  }

  /** Names and paths of the entries of a group such as `jigs`; empty where the file has none. */
  entries(path: JobPath, kind: string): [name: string, path: JobPath][] {
    const group = this.at(path);
    if (group === undefined) return [];
    const says = (problem: string, rule: string): string => faultSentence({ what: kind, problem, rule });
    if (typeof group !== "object" || group === null || Array.isArray(group)) {
      const rule = "each is a name, a colon and its own keys";
      this.refuse(path, says("this is not a group of named entries", rule));
      return [];
    }
    const names = Object.keys(group);
    if (names.length > MOST_NAMES) {
      this.refuse(path, says("there are too many", `at most ${MOST_NAMES} are read`));
      return [];
    }
    return names.flatMap((name): [string, JobPath][] => {
      const at = [...path, name];
      if (isName(name)) return [[name, at]];
      const rule = `a name has 1 to ${LONGEST_NAME} ordinary characters and no spaces at its ends`;
      this.refuseKey(
        at,
        says("this name cannot be used", rule),
        this.spelling.exampleFor([...path, "my-own"]),
      );
      return [];
    });
  }

  /** Notes a fault of the value at a path, or of the nearest group around it that the file has. */
  refuse(path: JobPath, sentence: string, options: RefuseOptions = {}): void {
    this.faults.push(this.fault(path, sentence, options));
  }

  /** A fault of the value at a path, with its place; it is not noted. */
  fault(path: JobPath, sentence: string, options: RefuseOptions = {}): JobFault {
    const { example = this.spelling.exampleFor(path) } = options;
    return { file: this.file, ...this.place(path), field: path.join("."), sentence, example };
  }

  /** Notes the faults of another file that this one names. */
  adopt(faults: readonly JobFault[]): void {
    this.faults.push(...faults);
  }

  /** Notes a fault of the key itself. */
  refuseKey(path: JobPath, sentence: string, example: string): void {
    this.faults.push({
      file: this.file,
      ...this.place(path, true),
      field: path.join("."),
      sentence,
      example,
    });
  }

  /** @throws JobError with everything noted so far. */
  requireFaultless(): void {
    if (this.faults.length > 0) throw new JobError(this.faults);
  }

  private noteIssue(path: JobPath, issue: $ZodIssue, options: RefuseOptions): void {
    const steps = issue.path.map((step) => (typeof step === "symbol" ? String(step) : step));
    // A single member is read as a list of one.
    const alone =
      typeof steps.at(-1) === "number" && !Array.isArray(this.at([...path, ...steps.slice(0, -1)]));
    const at = [...path, ...(alone ? steps.slice(0, -1) : steps)];
    for (const fault of issueFaults(at, issue, this.at(at), this.spelling)) {
      if (fault.ofKey)
        this.refuseKey(fault.path, fault.sentence, fault.example ?? this.spelling.exampleFor(at));
      else this.refuse(fault.path, fault.sentence, options);
    }
  }

  private place(path: JobPath, ofKey = false): { line: number; column: number } {
    const { document } = this.yaml;
    let node: unknown = document?.contents;
    let offset = startOf(node);
    for (const [i, step] of path.entries()) {
      const parent = document ? resolved(node, document) : null;
      const pair = isMap(parent)
        ? parent.items.find(({ key }) => (isScalar(key) ? String(key.value) : key) === String(step))
        : undefined;
      const next = pair ? pair.value : isSeq(parent) ? parent.items[Number(step)] : undefined;
      if (next === undefined) break;
      const last = i === path.length - 1;
      const value = startOf(next);
      // An empty value has no place of its own.
      const empty = isScalar(next) && next.range?.[0] === next.range?.[1];
      offset = pair && ((last && ofKey) || empty || next === null) ? startOf(pair.key) : value;
      node = next;
    }
    return this.lineAndColumn(offset);
  }

  private lineAndColumn(offset: number): { line: number; column: number } {
    const { line, col } = this.yaml.lines.linePos(offset);
    return { line: Math.max(line, 1), column: Math.max(col, 1) };
  }
}
