import { readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { quantileSorted } from "simple-statistics";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { drawRooms } from "./draw-rooms.js";
import {
  badArrows,
  circles,
  importers,
  MAY_IMPORT,
  namesTwice,
  type SourceFile,
  sourceFiles,
} from "./source-graph.js";

/** How the sources stand. `npm run house` prints it, with `-- --json` as data; `-- --draw` draws docs/rooms.svg. */
interface House {
  readonly folders: readonly { readonly name: string; readonly files: number; readonly lines: number }[];
  readonly files: number;
  readonly lines: number;
  /** Lines of a file: quartiles and the longest. */
  readonly quartiles: readonly [number, number, number];
  readonly longest: readonly { readonly path: string; readonly lines: number }[];
  readonly underForty: number;
  /** Files that one other file imports, and no more. */
  readonly oneImporter: number;
  readonly circles: readonly string[][];
  readonly arrowsBack: readonly string[];
  readonly namesTwice: readonly string[];
  readonly nonNullAssertions: number;
  readonly largestFunction: { readonly path: string; readonly name: string; readonly lines: number };
}

const lineCount = (text: string): number => text.split("\n").length - 1;

function largestFunction(files: readonly SourceFile[]): House["largestFunction"] {
  const all = files.flatMap(({ path, functions }) => functions.map((one) => ({ path, ...one })));
  return all.reduce((largest, one) => (one.lines > largest.lines ? one : largest), {
    path: "",
    name: "",
    lines: 0,
  });
}

function look(src: string): House {
  const files = sourceFiles(src);
  const lines = files.map(({ text }) => lineCount(text)).sort((a, b) => a - b);
  const count = importers(files);
  const inside = (name: string): SourceFile[] => files.filter(({ path }) => path.startsWith(`${name}/`));
  const sum = (some: readonly SourceFile[]): number =>
    some.reduce((total, { text }) => total + lineCount(text), 0);
  return {
    folders: readdirSync(src, { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map(({ name }) => ({ name, files: inside(name).length, lines: sum(inside(name)) })),
    files: files.length,
    lines: sum(files),
    quartiles: [quantileSorted(lines, 0.25), quantileSorted(lines, 0.5), quantileSorted(lines, 0.75)],
    longest: files
      .map(({ path, text }) => ({ path, lines: lineCount(text) }))
      .sort((a, b) => b.lines - a.lines)
      .slice(0, 5),
    underForty: lines.filter((n) => n < 40).length,
    oneImporter: [...count.values()].filter((n) => n === 1).length,
    circles: circles(files),
    arrowsBack: badArrows(files),
    namesTwice: namesTwice(files),
    nonNullAssertions: files.reduce((total, file) => total + file.nonNullAssertions, 0),
    largestFunction: largestFunction(files),
  };
}

function text(house: House): string {
  const { folders, quartiles, largestFunction: largest } = house;
  return [
    `src: ${folders.length} folders, ${house.files} files, ${house.lines} lines; lines of a file: quartiles ${quartiles.join(", ")}; ${house.underForty} files under 40 lines`,
    ...folders.map(
      ({ name, files, lines }) =>
        `  ${name.padEnd(12)}${String(files).padStart(4)} files${String(lines).padStart(7)} lines`,
    ),
    "longest files:",
    ...house.longest.map(({ path, lines }) => `  ${String(lines).padStart(4)}  ${path}`),
    `largest function: ${largest.name}, ${largest.lines} lines, in ${largest.path}`,
    `files with one importer: ${house.oneImporter}; circles of files: ${house.circles.length}; imports against the arrows: ${house.arrowsBack.length}`,
    `exported names declared in more than one file: ${house.namesTwice.length}; non-null assertions: ${house.nonNullAssertions}`,
  ].join("\n");
}

if (process.argv.includes("--draw")) {
  writeFileSync(join(PACKAGE_ROOT, "docs/rooms.svg"), drawRooms(MAY_IMPORT));
  process.exit();
}
const folder = process.argv.slice(2).find((word) => !word.startsWith("--"));
const house = look(folder ?? join(PACKAGE_ROOT, "src"));
console.log(process.argv.includes("--json") ? JSON.stringify(house, null, 1) : text(house));
