import { spellOut } from "../../quantity/spell-out.js";

const MARKS: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" };

/** Text made inert inside HTML, also within an attribute's quotes; signs that cannot be seen are spelt out. */
export const escapeHtml = (text: string): string =>
  spellOut(text).replace(/[&<>"']/g, (mark) => MARKS[mark]!);
