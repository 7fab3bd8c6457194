import { spellOut } from "../../quantity/spell-out.js";
import { escapeMarks } from "./escape-marks.js";

/** Text made inert inside HTML, also within an attribute's quotes; signs that cannot be seen are spelt out. */
export const escapeHtml = (text: string): string => escapeMarks(spellOut(text));
