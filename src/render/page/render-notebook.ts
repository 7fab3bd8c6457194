import { type Html, html, htmlPage, raw } from "../html.js";
import { type Notebook, type NotebookCell, textOf } from "../notebook/notebook.js";
import { STYLE } from "./style.js";

export interface PageOptions {
  /** Title of the page; by default the notebook's first heading, else its name. */
  readonly title?: string | undefined;
  /** The notebook's name, for the foot of the page and for messages; `notebook` by default. */
  readonly file?: string | undefined;
  /** Language of the text, as in HTML's `lang`; `en` by default. */
  readonly lang?: string | undefined;
}

/**
 * An executed notebook as one HTML page that loads nothing: style, charts and pictures are in it, and its
 * Content-Security-Policy forbids the rest. Code is folded away, its results are shown; a cell tagged `answer` is folded
 * away with its results. The page has scripts only when a chart has sliders or a page within it runs one; its policy names each.
 *
 * @throws NotebookError when a formula cannot be read or a picture lies outside of the notebook
 */
export async function renderNotebook(notebook: Notebook, options: PageOptions = {}): Promise<string> {
  // Not needed by those who only import this package: loaded when there is a page to make.
  const [{ renderMarkdown }, { outputHtml }, { sliderScripts }] = await Promise.all([
    import("./markdown.js"),
    import("./output-html.js"),
    import("./sliders.js"),
  ]);
  const { file = "notebook", lang = "en" } = options;
  const title = options.title ?? firstHeading(notebook.cells) ?? file;
  const running = { specs: [] as unknown[], frames: [] as string[] };
  const cellHtml = (cell: NotebookCell, i: number): Html | null => {
    const place = `${file}, cells[${i}]`;
    if (cell.cell_type === "raw") return null;
    if (cell.cell_type === "markdown")
      return renderMarkdown(textOf(cell.source), { place, attachments: cell.attachments });
    const number = cell.execution_count === null ? "" : ` ${cell.execution_count}`;
    const code = html`<details class="code"><summary>Code${number}</summary><pre tabindex="0"><code>${textOf(cell.source)}</code></pre></details>`;
    return onLines([code, ...cell.outputs.map((output) => outputHtml(output, running, place))]);
  };
  const sections = foldAnswers(notebook.cells, cellHtml);
  const scripts = await sliderScripts(running.specs);
  const allowed = [...new Set([...running.frames, ...scripts.sources])];
  const runs = allowed.length === 0 ? "" : `; script-src ${allowed.join(" ")}`;
  const policy = `default-src 'none'; style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'${runs}`;
  const body = html`<main>
${onLines(sections)}
</main>
<footer>Made by running ${file}.</footer>
${scripts.html}`;
  return htmlPage({ lang, title, policy, style: STYLE, body });
}

const onLines = (sections: readonly Html[]): Html => raw(sections.join("\n"));

function firstHeading(cells: readonly NotebookCell[]): string | undefined {
  for (const cell of cells) {
    const heading = cell.cell_type === "markdown" && /^# +(.+?) *#*$/m.exec(textOf(cell.source));
    if (heading) return heading[1]!.replaceAll(/[*_`]/g, "");
  }
  return undefined;
}

/** The tag, among a cell's `tags`, of what a reader is to find alone first. */
const ANSWER_TAG = "answer";

/**
 * The sections of a page, a cell tagged `answer` folded away: neighbouring ones together. The cells were run like all others.
 *
 * In JupyterLab the same cells are folded by `"jupyter": {"source_hidden": true, "outputs_hidden": true}` beside the tag.
 */
function foldAnswers(
  cells: readonly NotebookCell[],
  cellHtml: (cell: NotebookCell, index: number) => Html | null,
): Html[] {
  const sections: Html[] = [];
  let folded: Html[] = [];
  const close = (): void => {
    if (folded.length > 0)
      sections.push(
        html`<details class="answer"><summary>Answer</summary>
${onLines(folded)}
</details>`,
      );
    folded = [];
  };
  for (const [i, cell] of cells.entries()) {
    const section = cellHtml(cell, i);
    if (section === null) continue;
    if (isAnswer(cell)) folded.push(section);
    else {
      close();
      sections.push(section);
    }
  }
  close();
  return sections;
}

const isAnswer = ({ metadata: { tags } }: NotebookCell): boolean =>
  Array.isArray(tags) && tags.includes(ANSWER_TAG);
