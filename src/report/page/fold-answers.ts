import type { Cell } from "../notebook/types.js";

/** The tag, among a cell's `tags`, of what a reader is to find alone first. */
export const ANSWER_TAG = "answer";

/**
 * The sections of a page, a cell tagged `answer` folded away: neighbouring ones together. The cells were run like all others.
 *
 * In JupyterLab the same cells are folded by `"jupyter": {"source_hidden": true, "outputs_hidden": true}` beside the tag.
 */
export function foldAnswers(cells: readonly Cell[], html: (cell: Cell, index: number) => string): string[] {
  const sections: string[] = [];
  let folded: string[] = [];
  const close = (): void => {
    if (folded.length > 0)
      sections.push(`<details class="answer"><summary>Answer</summary>\n${folded.join("\n")}\n</details>`);
    folded = [];
  };
  for (const [i, cell] of cells.entries()) {
    const section = html(cell, i);
    if (section === "") continue;
    if (isAnswer(cell)) folded.push(section);
    else {
      close();
      sections.push(section);
    }
  }
  close();
  return sections;
}

const isAnswer = ({ metadata: { tags } }: Cell): boolean => Array.isArray(tags) && tags.includes(ANSWER_TAG);
