import type { CodeCell, Notebook, NotebookCell, Output } from "../../../src/render/notebook/notebook.js";

export const code = (source: string, ...outputs: Output[]): CodeCell => ({
  cell_type: "code",
  id: "",
  metadata: {},
  source,
  outputs,
  execution_count: null,
});

export const markdown = (source: string): NotebookCell => ({
  cell_type: "markdown",
  id: "",
  metadata: {},
  source,
});

export function notebook(...cells: NotebookCell[]): Notebook {
  const named = cells.map((cell, i) => ({ ...cell, id: `c${i}` }));
  return { nbformat: 4, nbformat_minor: 5, metadata: {}, cells: named };
}

export const displayed = (data: Record<string, unknown>): Output => ({
  output_type: "display_data",
  data,
  metadata: {},
});
