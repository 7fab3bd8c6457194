import { drawingsOf as svgsOf } from "../../src/render/notebook/display.js";
import {
  type MultilineText,
  type Notebook,
  type Output,
  textOf,
} from "../../src/render/notebook/notebook.js";

const outputsOf = ({ cells }: Notebook): Output[] =>
  cells.flatMap((cell) => (cell.cell_type === "code" ? cell.outputs : []));

/** All texts that a notebook shows, in order: streams, and the plain or Markdown form of what it displays. */
export const textsOf = (notebook: Notebook): string[] =>
  outputsOf(notebook).flatMap((output) => {
    if (output.output_type === "stream") return [textOf(output.text)];
    if (output.output_type === "error") return [output.traceback.join("\n")];
    const text = output.data["text/plain"] ?? output.data["text/markdown"];
    return text === undefined ? [] : [textOf(text as MultilineText)];
  });

/** The charts that a notebook shows, as specifications. */
export const chartsOf = (notebook: Notebook): object[] =>
  outputsOf(notebook).flatMap((output) => {
    if (output.output_type !== "display_data") return [];
    const spec = output.data["application/vnd.vegalite.v5+json"];
    return spec === undefined ? [] : [spec as object];
  });

/** The drawings that a notebook shows without a specification, as SVG. */
export const drawingsOf = (notebook: Notebook): string[] =>
  outputsOf(notebook).flatMap((output) => {
    if (output.output_type !== "display_data" || "application/vnd.vegalite.v5+json" in output.data) return [];
    return svgsOf(output.data)?.svg ?? [];
  });

/** A specification as text, its numbers to four figures. */
export const roundedText = (spec: object): string =>
  JSON.stringify(
    spec,
    (_key, value) => (typeof value === "number" ? Number(value.toPrecision(4)) : value),
    1,
  );

/** The rows of a table shown as text, by their first column. */
export function tableRows(text: string): Map<string, string[]> {
  const [, rule = "", ...rows] = text.split("\n");
  const starts = [...rule.matchAll(/─+/g)].map(({ index }) => index!);
  return new Map(
    rows.map((row) => {
      const cells = starts.map((from, i) => row.slice(from, starts[i + 1]).trim());
      return [cells[0]!, cells.slice(1)];
    }),
  );
}

/** Every number in a text, a true minus read as one. */
export const numbersIn = (text: string): number[] =>
  (text.replaceAll("−", "-").match(/-?\d+(?:\.\d+)?/g) ?? []).map(Number);
