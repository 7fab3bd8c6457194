import { readFile } from "node:fs/promises";
import { basename, parse } from "node:path";
import { z } from "zod";
import { UserError } from "../../core/errors.js";

/** Text as Jupyter stores it: one string, or its lines with their line ends kept. */
export type MultilineText = string | string[];

/** One result in several forms, keyed by MIME type. */
export type MimeBundle = Record<string, unknown>;

export type Metadata = Record<string, unknown>;

export interface StreamOutput {
  output_type: "stream";
  name: string;
  text: MultilineText;
}

export interface DisplayOutput {
  output_type: "display_data";
  data: MimeBundle;
  metadata: Metadata;
}

export interface ResultOutput {
  output_type: "execute_result";
  execution_count: number | null;
  data: MimeBundle;
  metadata: Metadata;
}

export interface ErrorOutput {
  output_type: "error";
  ename: string;
  evalue: string;
  traceback: string[];
}

export type Output = StreamOutput | DisplayOutput | ResultOutput | ErrorOutput;

export interface CodeCell {
  cell_type: "code";
  id: string;
  metadata: Metadata;
  source: MultilineText;
  outputs: Output[];
  execution_count: number | null;
}

interface TextCell {
  id: string;
  metadata: Metadata;
  source: MultilineText;
  attachments?: Record<string, MimeBundle> | undefined;
}

export interface MarkdownCell extends TextCell {
  cell_type: "markdown";
}

export interface RawCell extends TextCell {
  cell_type: "raw";
}

export type NotebookCell = CodeCell | MarkdownCell | RawCell;

/** A notebook of nbformat 4.5. */
export interface Notebook {
  nbformat: 4;
  nbformat_minor: 5;
  metadata: Metadata;
  cells: NotebookCell[];
}

// The shape is nbformat 4.5 (Project Jupyter, nbformat.v4.5.schema.json), written out here by hand.

const text = z.union([z.string(), z.array(z.string())]);
const metadata = z.record(z.string(), z.unknown());
/** All but JSON is text. */
const bundle = z.record(z.string(), z.unknown()).superRefine((data, context) => {
  for (const [mime, value] of Object.entries(data))
    if (!/\bjson$/.test(mime) && !text.safeParse(value).success)
      context.addIssue({
        code: "custom",
        path: [mime],
        message: "this is neither a text nor a list of lines",
      });
});
const count = z.int().min(0).nullable();
const id = z.string().regex(/^[A-Za-z0-9_-]{1,64}$/);

const output = z.discriminatedUnion("output_type", [
  z.strictObject({ output_type: z.literal("stream"), name: z.string(), text }),
  z.strictObject({ output_type: z.literal("display_data"), data: bundle, metadata }),
  z.strictObject({
    output_type: z.literal("execute_result"),
    execution_count: count,
    data: bundle,
    metadata,
  }),
  z.strictObject({
    output_type: z.literal("error"),
    ename: z.string(),
    evalue: z.string(),
    traceback: z.array(z.string()),
  }),
]);

const attachments = z.record(z.string(), bundle).optional();

function cells(cellId: z.ZodType<string | undefined>) {
  const shared = { id: cellId, metadata, source: text };
  return z.array(
    z.discriminatedUnion("cell_type", [
      z.strictObject({
        ...shared,
        cell_type: z.literal("code"),
        outputs: z.array(output),
        execution_count: count,
      }),
      z.strictObject({ ...shared, cell_type: z.literal("markdown"), attachments }),
      z.strictObject({ ...shared, cell_type: z.literal("raw"), attachments }),
    ]),
  );
}

/** What tells the versions apart; read first, so that a wrong version is not reported as a hundred wrong cells. */
export const versionSchema = z.looseObject({ nbformat: z.literal(4), nbformat_minor: z.int().min(0).max(5) });

/** From 4.5 on every cell has an id; before, none. */
export const schemaFor = (minor: number) =>
  z.strictObject({
    nbformat: z.literal(4),
    nbformat_minor: z.literal(minor),
    metadata,
    cells: cells(minor >= 5 ? id : id.optional()),
  });

const WRITE_INSTEAD: Record<string, string> = {
  nbformat: 'write "nbformat": 4',
  nbformat_minor: 'write "nbformat_minor": 5',
  cells: 'write "cells": [ … ]',
  cell_type: 'write "code", "markdown" or "raw"',
  id: 'write an "id" of 1 to 64 letters, digits, "-" or "_"',
  source: "write one string or a list of strings",
  metadata: 'write "metadata": {}',
  outputs: 'write "outputs": []',
  execution_count: 'write "execution_count": null',
};

/**
 * Checks that a value is a notebook of nbformat 4 (minor 0 to 5) and returns it as 4.5. Cells of an older minor
 * version have no ids and are given `cell-1`, `cell-2`, …
 *
 * @param file the name used in messages
 * @throws NotebookError naming the file, the place and what to write instead
 */
export function parseNotebook(value: unknown, file: string): Notebook {
  const version = versionSchema.safeParse(value);
  if (!version.success) throw formatError(version.error, file);
  const parsed = schemaFor(version.data.nbformat_minor).safeParse(value);
  if (!parsed.success) throw formatError(parsed.error, file);
  const cells = parsed.data.cells.map(
    (cell, i): NotebookCell => ({ ...cell, id: cell.id ?? `cell-${i + 1}` }),
  );
  refuseTwins(cells, file);
  return { nbformat: 4, nbformat_minor: 5, metadata: parsed.data.metadata, cells };
}

function refuseTwins(cells: readonly NotebookCell[], file: string): void {
  const first = new Map<string, number>();
  for (const [i, { id }] of cells.entries()) {
    const twin = first.get(id);
    if (twin !== undefined)
      throw new NotebookError(
        `${file} is not a notebook this project can run: two cells have one id; ids are unique; write another id than "${id}" (cells[${twin}].id and cells[${i}].id).`,
      );
    first.set(id, i);
  }
}

function formatError(error: z.ZodError, file: string): NotebookError {
  const issue = error.issues[0]!;
  const place = issue.path.map((key) => (typeof key === "number" ? `[${key}]` : `.${String(key)}`)).join("");
  const name = String(issue.path.findLast((key) => typeof key === "string") ?? "");
  const instead = WRITE_INSTEAD[name] ?? "see the notebook format 4.5";
  return new NotebookError(
    `${file} is not a notebook this project can run: ${issue.message}; it must be a notebook of format 4.5; ${instead} (at ${place.replace(/^\./, "") || "the top level"}).`,
    error.message,
  );
}

/**
 * Reads and checks a notebook file.
 *
 * @throws NotebookError when the file is missing, is not JSON or is not a notebook
 */
export async function readNotebook(path: string): Promise<Notebook> {
  const file = basename(path);
  let value: unknown;
  try {
    value = JSON.parse(await readFile(path, "utf8"));
  } catch (cause) {
    const what = cause instanceof SyntaxError ? "is not JSON" : "cannot be read";
    throw new NotebookError(
      `${file} ${what}; a notebook is a JSON file; ${String(cause)} (at ${path}).`,
      "",
      {
        cause,
      },
    );
  }
  return parseNotebook(value, file);
}

/** The text as one string. */
export const textOf = (text: MultilineText): string => (typeof text === "string" ? text : text.join(""));

/** The text as nbformat writes it to disk: its lines, each with its line end. */
export function linesOf(text: string): string[] {
  return text === "" ? [] : text.split(/(?<=\n)/);
}

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

/**
 * A notebook that cannot be read, run or shown. `message` is one sentence for a person; `detail` holds the full
 * text behind it (stack, kernel log), empty when there is none.
 */
export class NotebookError extends UserError {
  override readonly name = "NotebookError";
  readonly detail: string;

  constructor(message: string, detail = "", options?: ErrorOptions) {
    super("notebook", message, options);
    this.detail = detail;
  }
}
