import { createRequire } from "node:module";
import type katexModule from "@vscode/markdown-it-katex";
import katex from "katex";
import MarkdownIt from "markdown-it";
import { textOf } from "../notebook/text.js";
import type { MimeBundle, MultilineText } from "../notebook/types.js";
import { NotebookError } from "../notebook-error.js";
import { escapeHtml } from "../text/escape-html.js";
import { numberColumns } from "./number-columns.js";

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
export function renderMarkdown(text: string, context: MarkdownContext): string {
  mathError = null;
  const html = markdown.render(text, { context });
  if (mathError !== null) throw pageError("a formula cannot be read", mathError, context.place);
  // What is wider than the page scrolls, with the keyboard too.
  return html.replaceAll(/<(pre|p class="katex-block")>/g, '<$1 tabindex="0">');
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
  const address = String(tokens[i]!.attrGet("src"));
  const source = address.startsWith("attachment:") ? attached(address.slice(11), attachments) : address;
  if (source === undefined || !source.startsWith("data:"))
    throw pageError("a picture lies outside of the notebook", address, place);
  return `<img src="${escapeHtml(source)}" alt="${escapeHtml(tokens[i]!.content)}">`;
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
