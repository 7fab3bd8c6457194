import type { z } from "zod";
import { NotebookError } from "../notebook-error.js";
import { schemaFor, versionSchema } from "./schema.js";
import type { Cell, Notebook } from "./types.js";

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
  const cells = parsed.data.cells.map((cell, i): Cell => ({ ...cell, id: cell.id ?? `cell-${i + 1}` }));
  refuseTwins(cells, file);
  return { nbformat: 4, nbformat_minor: 5, metadata: parsed.data.metadata, cells };
}

function refuseTwins(cells: readonly Cell[], file: string): void {
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
