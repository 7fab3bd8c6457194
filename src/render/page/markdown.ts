import { createRequire } from "node:module";
import type katexModule from "@vscode/markdown-it-katex";
import katex from "katex";
import type { Token } from "markdown-it";
import MarkdownIt from "markdown-it";
import { type Html, html, raw } from "../html.js";
import { type MimeBundle, type MultilineText, NotebookError, textOf } from "../notebook/notebook.js";

export interface MarkdownContext {
  /** Where the text stands, for messages. */
  readonly place: string;
  /** Pictures that the cell carries with itself, by name. */
  readonly attachments?: Record<string, MimeBundle> | undefined;
}

/**
 * Markdown, with math between dollar signs, as HTML. HTML within it is shown as text. Pictures are taken from the
 * notebook itself (`data:`, `attachment:`).
 *
 * @throws NotebookError when the math cannot be read or a picture lies outside of the notebook
 */
export function renderMarkdown(text: string, context: MarkdownContext): Html {
  mathError = null;
  const made = markdown.render(text, { context });
  if (mathError !== null) throw pageError("a formula cannot be read", mathError, context.place);
  // What is wider than the page scrolls, with the keyboard too.
  return raw(made.replaceAll(/<(pre|p class="katex-block")>/g, '<$1 tabindex="0">'));
}

let mathError: string | null = null;

// A CommonJS module whose default export loaders disagree about: required, it is what it says.
const katexPlugin: typeof katexModule = createRequire(import.meta.url)("@vscode/markdown-it-katex");

const markdown = new MarkdownIt({ html: false, linkify: false }).use(katexPlugin.default, {
  katex: {
    ...katex,
    renderToString(tex: string, options?: katex.KatexOptions): string {
      try {
        return katex.renderToString(tex, { ...options, output: "mathml", throwOnError: true, strict: false });
      } catch (error) {
        // The plug-in catches what is thrown here and goes on, so it is kept for renderMarkdown to throw.
        mathError ??= String(error);
        return "";
      }
    },
  },
});
markdown.core.ruler.push("number_columns", ({ tokens }) => numberColumns(tokens));
markdown.renderer.rules.table_open = () => '<div class="wide" tabindex="0"><table>\n';
markdown.renderer.rules.table_close = () => "</table></div>\n";
markdown.renderer.rules.image = (tokens, i, _options, env) => {
  const { place, attachments } = (env as { context: MarkdownContext }).context;
  const { content = "" } = tokens[i] ?? {};
  const address = String(tokens[i]?.attrGet("src"));
  const source = address.startsWith("attachment:") ? attached(address.slice(11), attachments) : address;
  if (source === undefined || !source.startsWith("data:"))
    throw pageError("a picture lies outside of the notebook", address, place);
  return String(html`<img src="${source}" alt="${content}">`);
};

function attached(name: string, attachments: MarkdownContext["attachments"]): string | undefined {
  const [mime, data] = Object.entries(attachments?.[decodeURIComponent(name)] ?? {})[0] ?? [];
  return mime && `data:${mime};base64,${textOf(data as MultilineText).replaceAll(/\s/g, "")}`;
}

function pageError(what: string, value: string, place: string): NotebookError {
  return new NotebookError(
    `the page was not made: ${what}; a page holds all it shows; ${value} (at ${place}).`,
  );
}

/** A number with sign, uncertainty and a short unit, or a dash where there is none. */
const NUMBER =
  /^(?:[<>≤≥≈~]\s?)?[+−±-]?\d[\d\s.,]*(?:\s?±\s?[\d.,]+)?(?:\s?[%°′″]|\s(?:mm|µm|cm|m|in|rad|mrad|s|ms|min|h))?$|^[–—−-]$/u;

/** Gives the cells of table columns that hold numbers only the class `number`, unless the table says how to align. */
export function numberColumns(tokens: readonly Token[]): void {
  let columns: Token[][] = [];
  let column = 0;
  const isNumber = new Map<Token, boolean>();
  for (const [i, token] of tokens.entries()) {
    if (token.type === "table_open") columns = [];
    else if (token.type === "tr_open") column = 0;
    else if (token.type === "th_open" || token.type === "td_open") {
      columns[column] ??= [];
      columns[column++]!.push(token);
      isNumber.set(token, NUMBER.test(tokens[i + 1]?.content.replaceAll(/[*_`]/g, "").trim() ?? ""));
    } else if (token.type === "table_close")
      for (const cells of columns) {
        const body = cells.filter(({ type }) => type === "td_open");
        const aligned = cells.some((cell) => cell.attrGet("style") !== null);
        if (aligned || body.length === 0 || !body.every((cell) => isNumber.get(cell))) continue;
        for (const cell of cells) cell.attrJoin("class", "number");
      }
  }
}
