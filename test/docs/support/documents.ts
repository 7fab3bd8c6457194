import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";

export const ROOT = resolve(import.meta.dirname, "../../..");

export interface Document {
  /** Relative to the project. */
  readonly path: string;
  /** Markdown; of a notebook its text cells. */
  readonly text: string;
}

interface NotebookCell {
  readonly cell_type: string;
  readonly source: string | readonly string[];
}

function markdownOf(notebook: string): string {
  const { cells } = JSON.parse(notebook) as { cells: readonly NotebookCell[] };
  const texts = cells.filter(({ cell_type }) => cell_type === "markdown").map(({ source }) => source);
  return texts.map((source) => (typeof source === "string" ? source : source.join(""))).join("\n\n");
}

/** All that people read: the pages at the top, docs, and the text of the notebooks. What is written by a command is left out. */
export function documents(): readonly Document[] {
  const inside = (folder: string, ending: string): string[] =>
    readdirSync(join(ROOT, folder))
      .filter((name) => name.endsWith(ending))
      .map((name) => `${folder}/${name}`);
  const pages = ["README.md", "DEVELOPERS.md", ...inside("docs", ".md"), ...inside("notebooks", ".md")];
  return [...pages.filter((path) => path !== "docs/api.md"), ...inside("notebooks", ".ipynb")].map((path) => {
    const text = readFileSync(join(ROOT, path), "utf8");
    return { path, text: path.endsWith(".ipynb") ? markdownOf(text) : text };
  });
}

/** The fenced blocks of one language. */
export function blocks(text: string, language: string): readonly string[] {
  return [...text.matchAll(/^```(\w*)\n([\s\S]*?)^```$/gm)]
    .filter((match) => match[1] === language)
    .map((match) => match[2]!);
}
