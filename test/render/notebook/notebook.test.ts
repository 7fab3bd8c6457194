import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it } from "vitest";
import {
  hidePaths,
  type Output,
  parseNotebook,
  readNotebook,
} from "../../../src/render/notebook/notebook.js";
import { code, displayed, markdown, notebook } from "./build-notebook.js";

const good = notebook(markdown("a"), code("1"));
const withCell = (change: object) => ({ ...good, cells: [good.cells[0], { ...good.cells[1], ...change }] });

it("passes a good notebook unchanged", () => expect(parseNotebook(good, "a.ipynb")).toEqual(good));

it("gives the cells of an older minor version ids", () => {
  const cells = good.cells.map(({ id: _, ...cell }) => cell);
  const parsed = parseNotebook({ ...good, nbformat_minor: 4, cells }, "a.ipynb");
  expect(parsed.nbformat_minor).toBe(5);
  expect(parsed.cells.map(({ id }) => id)).toEqual(["cell-1", "cell-2"]);
});

it.each([
  ["a wrong major version", { ...good, nbformat: 3 }, 'write "nbformat": 4 (at nbformat)'],
  [
    "a minor version to come",
    { ...good, nbformat_minor: 6 },
    'write "nbformat_minor": 5 (at nbformat_minor)',
  ],
  ["no cells", { ...good, cells: undefined }, 'write "cells": [ … ] (at cells)'],
  ["no object", "text", "(at the top level)"],
  ["a cell without outputs", withCell({ outputs: undefined }), 'write "outputs": [] (at cells[1].outputs)'],
  ["a cell without an id", withCell({ id: undefined }), "(at cells[1].id)"],
  ["an id with a space", withCell({ id: "a b" }), 'write an "id" of 1 to 64 letters, digits, "-" or "_"'],
  [
    "an unknown kind of cell",
    withCell({ cell_type: "chart" }),
    'write "code", "markdown" or "raw" (at cells[1].cell_type)',
  ],
  [
    "a source that is a number",
    withCell({ source: 3 }),
    "write one string or a list of strings (at cells[1].source)",
  ],
  ["an unknown key", withCell({ colour: "red" }), "colour"],
  ["one id twice", withCell({ id: "c0" }), "(cells[0].id and cells[1].id)"],
])("names file, place and remedy of %s", (_name, value, message) => {
  const parse = () => parseNotebook(value, "a.ipynb");
  expect(parse).toThrow("a.ipynb is not a notebook this project can run: ");
  expect(parse).toThrow(message);
});

it("names the file that is no JSON, or not there", async () => {
  const folder = mkdtempSync(join(tmpdir(), "parse-"));
  const path = join(folder, "a.ipynb");
  await expect(readNotebook(path)).rejects.toThrow("a.ipynb cannot be read");
  writeFileSync(path, "{");
  await expect(readNotebook(path)).rejects.toThrow("a.ipynb is not JSON");
  rmSync(folder, { recursive: true });
});

const names = [
  { path: "/home/ann", as: "~" },
  { path: "/home/ann/shop/job", as: "$JOB" },
  { path: "/", as: "root" },
];
const hidden = (text: string): unknown => {
  const [output] = hidePaths([{ output_type: "stream", name: "stdout", text: [text] }], names);
  return (output as Extract<Output, { output_type: "stream" }>).text;
};

it.each([
  ["/home/ann/shop/job/a.csv", "$JOB/a.csv"],
  ["in /home/ann, and /home/ann/x", "in ~, and ~/x"],
  ["file:///home/ann/x", "file://~/x"],
  ["/home/anna /other/home/ann 1/2", "/home/anna /other/home/ann 1/2"],
])("writes %s as %s", (text, expected) => expect(hidden(text)).toEqual([expected]));

it("reaches into nested data but not into pictures", () => {
  const data = {
    "application/json": { a: ["/home/ann"] },
    "image/png": "/home/ann",
    "image/svg+xml": "/home/ann",
  };
  expect(hidePaths([displayed(data)], names)).toEqual([
    displayed({ "application/json": { a: ["~"] }, "image/png": "/home/ann", "image/svg+xml": "~" }),
  ]);
});
