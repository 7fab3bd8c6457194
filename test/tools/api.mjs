import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { GIVEN } from "./examples.mjs";
import { publicNames } from "./public-names.mjs";

// Writes docs/api.md from the doc comments of the built declarations; `--print` prints the page, `--json` the same as data.

const ROOT = join(import.meta.dirname, "../..");
const TAGS = { param: "Takes", returns: "Gives", throws: "Throws", example: "Example", default: "Default" };

/** A comment for the page: links become links to the name's heading, or the constant with its value. */
const linked = (text, links) =>
  text.replaceAll(/\{@link (\w+)[^}]*\}/g, (_, name) =>
    links[name] === null ? `[${name}](#${name.toLowerCase()})` : `\`${name}\` (${links[name]})`,
  );

function described({ name, doc, tags, links, declaration }) {
  const lines = tags.map(({ name: tag, text }) =>
    tag === "example"
      ? `Example:\n\n\`\`\`ts\n${text}\n\`\`\``
      : `- ${TAGS[tag] ?? tag}: ${linked(text, links).replace(/^\{(\w+)\}/, "`$1`").replaceAll("\n", " ")}`,
  );
  return [`### ${name}`, linked(doc, links), lines.join("\n"), `\`\`\`ts\n${linked(declaration, links)}\n\`\`\``]
    .filter((part) => part !== "")
    .join("\n\n");
}

const given = Object.entries(GIVEN).map(([name, value]) => `\`${name}\` is \`${value}\``).join(", ");

function page(names) {
  const entries = [...new Set(names.map(({ entry }) => entry))];
  const inside = (entry) => names.filter((one) => one.entry === entry);
  const anchor = (entry) => entry.replaceAll("/", "");
  const functions = (entry) => inside(entry).filter(({ declaration }) => /^export declare (function|class|const)/.test(declaration));
  return [
    "# Public names",
    `${names.length} names, by the entry point they are imported from. Lengths are mm and angles radians unless a comment says otherwise; a gap above 0 is open. Written by \`npm run api\` from the doc comments: change them, not this page. In examples ${given}; what is imported is named by its heading, and a comment behind an expression is what it gives.`,
    entries.map((entry) => `- [\`${entry}\`](#${anchor(entry)}): ${functions(entry).map(({ name }) => `[${name}](#${name.toLowerCase()})`).join(", ")}; and ${inside(entry).length - functions(entry).length} types`).join("\n"),
    ...entries.flatMap((entry) => [`## ${entry}`, ...inside(entry).map(described)]),
    "",
  ].join("\n\n").trimEnd().concat("\n");
}

const names = await publicNames(ROOT);
if (process.argv.includes("--json")) console.log(JSON.stringify(names));
else if (process.argv.includes("--print")) console.log(page(names));
else {
  writeFileSync(join(ROOT, "docs/api.md"), page(names));
  console.log(`docs/api.md: ${names.length} public names`);
}
