// Prints how the house stands: files and lines by folder, the median file and the longest ones. `npm run house`.
import { readdirSync, readFileSync } from "node:fs";
import { join, relative, sep } from "node:path";

const ROOT = join(import.meta.dirname, "../..");

function lengths(folder) {
  return readdirSync(join(ROOT, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(ts|mjs|cjs)$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .map((path) => ({ path: relative(ROOT, path).split(sep).join("/"), lines: readFileSync(path, "utf8").split("\n").length - 1 }))
    .sort((a, b) => b.lines - a.lines);
}

const median = (files) => files[Math.floor(files.length / 2)].lines;
const sum = (files) => files.reduce((total, { lines }) => total + lines, 0);

for (const folder of ["src", "test"]) {
  const files = lengths(folder);
  console.log(`${folder}: ${files.length} files, ${sum(files)} lines, median ${median(files)}; longest:`);
  for (const { path, lines } of files.slice(0, 5)) console.log(`  ${String(lines).padStart(4)}  ${path}`);
}

const source = lengths("src");
const folders = [...new Set(source.map(({ path }) => path.split("/")[1]).filter((name) => !name.includes(".")))].sort();
console.log("folders of src (files, lines, longest):");
for (const name of folders) {
  const inside = source.filter(({ path }) => path.startsWith(`src/${name}/`));
  console.log(`  ${name.padEnd(11)}${String(inside.length).padStart(4)}${String(sum(inside)).padStart(7)}${String(inside[0].lines).padStart(5)}`);
}
