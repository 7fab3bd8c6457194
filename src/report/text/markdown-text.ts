import { spellOut } from "../../quantity/spell-out.js";

const ENTITIES: Readonly<Record<string, string>> = { "&": "&amp;", "<": "&lt;", ">": "&gt;" };

/** Text of a job made plain inside Markdown: no emphasis, link, picture, formula or HTML comes of it, and it stays on its line. */
export const markdownText = (text: string): string =>
  spellOut(text.replaceAll(/\s+/g, " "))
    .replaceAll(/[&<>]/g, (sign) => ENTITIES[sign]!)
    .replaceAll(/[\\`*_{}[\]()#+!|~$^-]/g, "\\$&");
