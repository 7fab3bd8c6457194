import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { publicNames } from "./public-names.mjs";

// Writes docs/api.md from the doc comments of the built declarations; `--json` prints the same as data.

const ROOT = join(import.meta.dirname, "../..");
const TAGS = { param: "Takes", returns: "Gives", throws: "Throws", example: "Example", default: "Default" };

function entry({ name, doc, tags, declaration }) {
  const lines = tags.map(({ name: tag, text }) =>
    tag === "example"
      ? `Example:\n\n\`\`\`ts\n${text}\n\`\`\``
      : `- ${TAGS[tag] ?? tag}: ${text.replace(/^\{(\w+)\}/, "`$1`").replaceAll("\n", " ")}`,
  );
  return [`### ${name}`, doc, lines.join("\n"), `\`\`\`ts\n${declaration}\n\`\`\``]
    .filter((part) => part !== "")
    .join("\n\n");
}

function page(names) {
  const folders = [...new Set(names.map(({ from }) => from.split("/")[0]))];
  const inside = (folder) => names.filter(({ from }) => from.split("/")[0] === folder);
  return [
    "# Public names",
    `${names.length} names, by the folder they live in. Lengths are mm and angles radians unless a comment says otherwise; a gap above 0 is open. Written by \`npm run api\` from the doc comments: change them, not this page.`,
    folders.map((folder) => `- [${folder}](#${folder}): ${inside(folder).map(({ name }) => `\`${name}\``).join(", ")}`).join("\n"),
    ...folders.flatMap((folder) => [`## ${folder}`, ...inside(folder).map(entry)]),
    "",
  ].join("\n\n").trimEnd().concat("\n");
}

const names = publicNames(ROOT);
if (process.argv.includes("--json")) console.log(JSON.stringify(names));
else {
  writeFileSync(join(ROOT, "docs/api.md"), page(names));
  console.log(`docs/api.md: ${names.length} public names`);
}
