// What a notebook brings may come from anyone: SVG is shown only if it can do nothing, and HTML may not lead its page elsewhere.

/** Elements of a drawing; scripts, animations, pages within it, links and pictures from elsewhere are not among them. */
const ELEMENTS = new Set(
  "svg g defs title desc symbol use path rect circle ellipse line polyline polygon text tspan clippath mask lineargradient radialgradient stop pattern marker".split(
    " ",
  ),
);

/**
 * Why an SVG is more than a drawing: an element, an attribute or a declaration that could run, load or lead anywhere. `undefined` for a drawing.
 *
 * @example
 * activePart('<svg onload="alert(1)"/>') // "the attribute onload"
 */
export function activePart(svg: string): string | undefined {
  const text = svg.replace(/^\s*(?:<\?xml[^<>]*\?>\s*)?(?:<!DOCTYPE[^<>[]*>\s*)?/, "");
  // Everything that begins a tag must be one that is understood here.
  const tags = /<(\/?)([A-Za-z][\w:.-]*)((?:\s+[\w:.-]+\s*=\s*(?:"[^"<]*"|'[^'<]*'))*)\s*\/?>/g;
  const rest = text.replace(tags, "");
  if (rest.includes("<")) return "something that is neither an element nor a text";
  for (const [, , name = "", attributes = ""] of text.matchAll(tags)) {
    if (!ELEMENTS.has(name.toLowerCase())) return `the element ${name}`;
    for (const [, key = "", quoted = ""] of attributes.matchAll(/([\w:.-]+)\s*=\s*("[^"]*"|'[^']*')/g)) {
      const value = decoded(quoted.slice(1, -1));
      if (isActive(key.toLowerCase(), value)) return `the attribute ${key}`;
    }
  }
  return undefined;
}

function isActive(key: string, value: string): boolean {
  if (key.startsWith("on")) return true;
  if (key === "href" || key.endsWith(":href") || key === "src") return !/^#[\w.-]+$/.test(value);
  if (key === "xmlns" || key.startsWith("xmlns:")) return !value.startsWith("http://www.w3.org/");
  // Escapes of CSS could hide a function; a drawing needs none.
  if (value.includes("\\"))
    return key === "style" || /^(fill|stroke|clip-path|mask|filter|marker.*|cursor)$/.test(key);
  return /(?:url|image|image-set|src)\s*\(\s*(?!["']?#)|@import|javascript:/i.test(value);
}

/** References to characters as the characters, so that none hides a word. */
const decoded = (value: string): string =>
  value
    .replace(/&#x([0-9a-f]{1,6});?/gi, (_, hex) => character(Number.parseInt(hex, 16)))
    .replace(/&#(\d{1,7});?/g, (_, digits) => character(Number(digits)))
    .replace(/&(?:tab|newline);/gi, "");

const character = (code: number): string => (code <= 0x10ffff ? String.fromCodePoint(code) : "");

/** HTML without the tags that a page's policy does not govern: a `meta` can send the reader to another page, a `base` or `link` can change where things come from. */
export const withoutLeading = (html: string): string =>
  html.replace(/<(?=\/?(?:meta|base|link)\b)/gi, "&lt;");
