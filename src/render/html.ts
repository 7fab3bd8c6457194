import { spellOut } from "../core/text.js";

/** Markup (HTML or SVG) that may stand in a page as it is: made by {@link html}, by `element`, or vouched for by {@link raw}. */
export class Html {
  readonly #source: string;

  /** Use {@link raw}. */
  constructor(source: string) {
    this.#source = source;
  }

  toString(): string {
    return this.#source;
  }
}

/** What may be put into a template: text is escaped, markup is not, a number is written with all its digits; the members of a list follow each other. */
export type Content = Html | string | number | readonly Content[];

/** Takes text for markup. Only for what this project wrote itself, never for text from a file. */
export const raw = (source: string): Html => new Html(source);

/**
 * Markup from a template. Interpolated text is escaped; within an attribute's quotes, so is markup. The attributes of an element
 * may be interpolated as markup only, and so may all that stands in a style or a script element.
 *
 * @throws TypeError for text where escaping does not make it safe
 * @example
 * String(html`<p>${"1 < 2"}</p>`) // "<p>1 &lt; 2</p>"
 */
export function html(parts: TemplateStringsArray, ...values: readonly Content[]): Html {
  let place: Place = BETWEEN;
  let source = "";
  for (const [i, part] of parts.entries()) {
    place = placeAfter(part, place);
    source += part;
    const value = values[i];
    if (value !== undefined) source += interpolated(value, place);
  }
  return raw(source);
}

/** Where a template breaks off. */
interface Place {
  readonly kind: "between elements" | "tag" | "quoted" | "code";
  /** The quotation mark that ends the attribute. */
  readonly quote: string;
  /** Whether the element holds a style sheet or a script. */
  readonly code: boolean;
}

const BETWEEN: Place = { kind: "between elements", quote: "", code: false };

function placeAfter(part: string, before: Place): Place {
  let { kind, quote, code } = before;
  for (const [i, sign] of part.split("").entries()) {
    if (kind === "quoted") kind = sign === quote ? "tag" : "quoted";
    else if (kind === "tag" && sign === ">") kind = code ? "code" : "between elements";
    else if (kind === "tag" && (sign === '"' || sign === "'")) [kind, quote] = ["quoted", sign];
    else if (sign === "<" && (kind === "between elements" || part.startsWith("</", i))) {
      kind = "tag";
      code = /^<(?:style|script)\b/i.test(part.slice(i, i + 8));
    }
  }
  return { kind, quote, code };
}

function interpolated(value: Content, place: Place): string {
  if (Array.isArray(value)) return value.map((one: Content) => interpolated(one, place)).join("");
  if (value instanceof Html) return place.kind === "quoted" ? escapeMarks(String(value)) : String(value);
  if (place.kind === "tag" || place.kind === "code")
    throw new TypeError(
      `Text cannot be made safe there: within a tag or a script only markup may be interpolated; got “${value}”; in html.`,
    );
  return escaped(String(value));
}

/** Markup of content: text escaped, lists joined. */
export const markup = (...content: readonly Content[]): Html => raw(interpolated(content, BETWEEN));

/** Text made inert inside markup and within an attribute's quotes; signs that cannot be seen are spelt out. */
export const escaped = (text: string): string => escapeMarks(spellOut(text));

const MARKS: ReadonlyMap<string, string> = new Map([
  ["&", "&amp;"],
  ["<", "&lt;"],
  [">", "&gt;"],
  ['"', "&quot;"],
  ["'", "&#39;"],
]);

const escapeMarks = (text: string): string => text.replace(/[&<>"']/g, (mark) => MARKS.get(mark) ?? mark);

/** Attributes of an element, each preceded by a space. Numbers are rounded to the hundredth; what is `undefined` is left out. */
export type Attributes = Readonly<Record<string, string | number | undefined>>;

/** An element of HTML or SVG. */
export function element(name: string, attributes: Attributes, ...content: readonly Content[]): Html {
  const written = Object.entries(attributes).map(([key, value]) => {
    if (value === undefined) return "";
    return ` ${key}="${escaped(typeof value === "number" ? String(hundredth(value)) : value)}"`;
  });
  return raw(`<${name}${written.join("")}>${markup(...content)}</${name}>`);
}

/** Rounded to the hundredth; never −0. */
export const hundredth = (value: number): number => Number(value.toFixed(2)) || 0;

interface Page {
  /** Default `en`. */
  readonly lang?: string;
  readonly title: string;
  /** Content-Security-Policy. */
  readonly policy: string;
  readonly style: string;
  readonly body: Html;
}

/** A whole HTML document. */
export const htmlPage = ({ lang = "en", title, policy, style, body }: Page): string =>
  String(html`<!doctype html>
<html lang="${lang}">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" ${raw(`content="${policy}"`)}>
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${title}</title>
<style>${raw(style)}</style>
</head>
<body>
${body}
</body>
</html>
`);

/** Keeps a number with its fraction, its unit, its `±` and its `=` on one line: the spaces between them no longer break. */
export const tied = (text: string): string =>
  text
    .replaceAll(/(?<=\d) (?=\d+\/\d)/g, "\u00A0")
    .replaceAll(/(?<=\d) (?=(?:mm|in|thou|%|±)(?![\p{L}]))/gu, "\u00A0")
    .replaceAll(/(?<=[±=≤+−]) (?=\d)/gu, "\u00A0")
    .replaceAll(/(?<=(?:mm|in|thou|°)) (?=±)/gu, "\u00A0")
    .replaceAll(/(?<=\b[Uk]) (?==)/gu, "\u00A0");

/** Set on each cell: front ends of notebooks have rules of their own, and most set every cell to the right. */
const RIGHT = {
  th: { class: "number", style: "text-align:right;white-space:normal" },
  td: { class: "number", style: "text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums" },
};
const LEFT = { style: "text-align:left" };

/** A table of plain text; the columns in `right` hold numbers and stand to the right. */
export function htmlTable(
  heading: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
): Html {
  const cell = (tag: "th" | "td", text: string, column: number): Html => {
    const style = right.includes(column) ? RIGHT[tag] : LEFT;
    if (text === "") return element("td", style);
    return element(tag, { ...(tag === "th" ? { scope: "col" } : {}), ...style }, text);
  };
  const line = (tag: "th" | "td", row: readonly string[]): Html =>
    html`<tr>${heading.map((_, c) => cell(tag, row[c] ?? "", c))}</tr>`;
  return html`<table><thead>${line("th", heading)}</thead><tbody>${rows.map((row) => line("td", row))}</tbody></table>`;
}
