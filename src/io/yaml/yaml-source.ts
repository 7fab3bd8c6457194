import { isMap, isScalar, isSeq } from "yaml";
import { z } from "zod";
import { type $ZodIssue, type $ZodType, type output, safeParse } from "zod/v4/core";
import type { LengthUnit } from "../../core/quantity/index.js";
import { exampleIn } from "../example-units.js";
import { faultSentence, JobError, type JobFault } from "../faults.js";
import { readText } from "../files.js";
import { issueFaults } from "./fields.js";
import { JOB_SPELLING, type Spelling } from "./job-examples.js";
import { MAX_DEPTH, readYaml, resolved, startOf, type YamlText } from "./read-yaml.js";

/** Keys and list indices from the top of a file to one of its values. */
export type KeyPath = readonly (string | number)[];

export interface RefuseOptions {
  /** Default: the usual example of that key. */
  readonly example?: string;
}

/** How `units: in` may be written. */
export const INCHES = ["in", "inch", "inches"];

const LONGEST_NAME = 60;
const MOST_NAMES = 500;

const isName = (name: string): boolean =>
  name.trim() === name && name !== "" && name.length <= LONGEST_NAME && !/\p{C}/u.test(name);

/**
 * Keys and values as typed in a YAML or JSON file, or given as plain data. Returns values by path, and collects faults
 * with their positions.
 */
export class YamlSource {
  readonly #faults: JobFault[] = [];

  private constructor(
    /** Path of the file; for plain data, their name in messages. */
    readonly file: string,
    private readonly data: unknown,
    /** `null` for plain data, whose parts have no lines. */
    private readonly text: YamlText | null,
    private readonly spelling: Spelling,
  ) {}

  /**
   * @param spelling keys and examples of this kind of file; default: those of a job file
   * @throws JobError when the file cannot be read at all
   */
  static read(file: string, spelling: Spelling = JOB_SPELLING): YamlSource {
    const text = readYaml(readText(file));
    const source = new YamlSource(file, text.data, text, spelling);
    for (const { offset, ...fault } of text.faults)
      source.#faults.push({ file, field: "", ...source.lineAndColumn(offset), ...fault });
    if (text.document === null) source.requireFaultless();
    return source;
  }

  /**
   * Makes a source from plain data instead of a file: groups, lists, texts, numbers, true and false.
   *
   * @param name name of the data in messages
   * @throws JobError for any other value, or for too deep nesting
   */
  static of(data: unknown, name: string, spelling: Spelling = JOB_SPELLING): YamlSource {
    const faults: KeyPath[] = [];
    const plain = plainCopy(data, [], (path) => faults.push(path));
    const source = new YamlSource(name, plain, null, spelling);
    for (const path of faults) source.refuse(path, NOT_PLAIN);
    source.requireFaultless();
    return source;
  }

  /** Whether it was read from a file. */
  get isFile(): boolean {
    return this.text !== null;
  }

  /**
   * Notes unknown keys at the top of the file.
   *
   * @throws JobError when the file is not a group of keys and nothing else can be read
   */
  requireTopKeys(): void {
    const anything = z.unknown().optional();
    this.take(
      [],
      z.strictObject(Object.fromEntries(this.spelling.keysKnown([]).map((key) => [key, anything]))),
    );
    if (!isGroup(this.data)) this.requireFaultless();
  }

  /** The plain value at a path; `undefined` if there is none. */
  at(path: KeyPath): unknown {
    let value = this.data;
    for (const step of path) {
      if (typeof value !== "object" || value === null || !Object.hasOwn(value, step)) return undefined;
      value = (value as Record<string | number, unknown>)[step];
    }
    return value;
  }

  /** The value at a path, read by the given shape; `undefined` after noting a fault. */
  take<S extends $ZodType>(path: KeyPath, shape: S, options: RefuseOptions = {}): output<S> | undefined {
    const result = safeParse(shape, this.at(path));
    if (result.success) return result.data;
    for (const issue of result.error.issues) this.noteIssue(path, issue, options);
    return undefined;
  }

  /** Names and paths of the entries of a group such as `jigs`; empty if the file has none. */
  entries(path: KeyPath, kind: string): [name: string, path: KeyPath][] {
    const group = this.at(path);
    if (group === undefined) return [];
    const says = (problem: string, rule: string): string => faultSentence({ what: kind, problem, rule });
    if (!isGroup(group)) {
      const rule = "each is a name, a colon and its own keys";
      this.refuse(path, says("this is not a group of named entries", rule));
      return [];
    }
    const names = Object.keys(group);
    if (names.length > MOST_NAMES) {
      this.refuse(path, says("there are too many", `at most ${MOST_NAMES} are read`));
      return [];
    }
    return names.flatMap((name): [string, KeyPath][] => {
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

  /** Notes a fault of the value at a path, or of the nearest existing group around it. */
  refuse(path: KeyPath, sentence: string, options: RefuseOptions = {}): void {
    this.#faults.push(this.fault(path, sentence, options));
  }

  /** Makes a fault of the value at a path, with its position, without noting it. */
  fault(path: KeyPath, sentence: string, options: RefuseOptions = {}): JobFault {
    const { example = this.spelling.exampleFor(path) } = options;
    return { file: this.file, ...this.place(path), field: path.join("."), sentence, example };
  }

  /** Notes the faults of another file that this one names. */
  adopt(faults: readonly JobFault[]): void {
    this.#faults.push(...faults);
  }

  /** Notes a fault of the key itself. */
  refuseKey(path: KeyPath, sentence: string, example: string): void {
    this.#faults.push({
      file: this.file,
      ...this.place(path, true),
      field: path.join("."),
      sentence,
      example,
    });
  }

  /**
   * Returns values that were taken one by one, which all exist if there are no faults.
   *
   * @throws JobError with everything noted so far
   */
  requireRead<T extends object>(values: T): { readonly [key in keyof T]: Exclude<T[key], undefined> } {
    this.requireFaultless();
    for (const [key, value] of Object.entries(values))
      if (value === undefined)
        throw new Error(`${key} was not read, and no fault was noted; in ${this.file}`);
    return values as { [key in keyof T]: Exclude<T[key], undefined> };
  }

  /** @throws JobError with everything noted so far. */
  requireFaultless(): void {
    if (this.#faults.length === 0) return;
    throw new JobError(
      this.#faults.map((fault) => ({ ...fault, example: exampleIn(fault.example, this.units) })),
    );
  }

  /** The units of the shop that the file names; mm where it names none. */
  get units(): LengthUnit {
    return INCHES.includes(String(this.at(["units"]))) ? "in" : "mm";
  }

  private noteIssue(path: KeyPath, issue: $ZodIssue, options: RefuseOptions): void {
    const steps = issue.path.map((step) => (typeof step === "symbol" ? String(step) : step));
    // A single member is read as a list of one.
    const alone =
      typeof steps.at(-1) === "number" && !Array.isArray(this.at([...path, ...steps.slice(0, -1)]));
    const at = [...path, ...(alone ? steps.slice(0, -1) : steps)];
    for (const fault of issueFaults(at, issue, this.at(at), this.spelling)) {
      if (fault.ofKey)
        this.refuseKey(fault.path, fault.sentence, fault.example ?? this.spelling.exampleFor(at));
      else
        this.refuse(fault.path, fault.sentence, {
          ...(fault.example === undefined ? {} : { example: fault.example }),
          ...options,
        });
    }
  }

  private place(path: KeyPath, ofKey = false): { line: number; column: number } {
    const document = this.text?.document;
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
      // An empty value has no position of its own.
      const empty = isScalar(next) && next.range?.[0] === next.range?.[1];
      offset = pair && ((last && ofKey) || empty || next === null) ? startOf(pair.key) : value;
      node = next;
    }
    return this.lineAndColumn(offset);
  }

  private lineAndColumn(offset: number): { line: number; column: number } {
    if (this.text === null) return { line: 0, column: 0 };
    const { line, col } = this.text.lines.linePos(offset);
    return { line: Math.max(line, 1), column: Math.max(col, 1) };
  }
}

const isGroup = (value: unknown): value is Record<string, unknown> =>
  typeof value === "object" && value !== null && !Array.isArray(value);

const NOT_PLAIN = `This cannot be used; data are groups, lists, texts, numbers, true and false, at most ${MAX_DEPTH} levels deep.`;

/** A copy without keys whose value is `undefined`. Anything that is not plain data is refused and left out. */
function plainCopy(value: unknown, path: KeyPath, refuse: (path: KeyPath) => void): unknown {
  if (value === null || ["string", "number", "boolean", "undefined"].includes(typeof value)) return value;
  if (typeof value === "object" && path.length < MAX_DEPTH) {
    if (Array.isArray(value)) return value.map((member, i) => plainCopy(member, [...path, i], refuse));
    if ([Object.prototype, null].includes(Object.getPrototypeOf(value)))
      return Object.fromEntries(
        Object.entries(value)
          .filter(([, member]) => member !== undefined)
          .map(([key, member]) => [key, plainCopy(member, [...path, key], refuse)]),
      );
  }
  refuse(path);
  return undefined;
}
