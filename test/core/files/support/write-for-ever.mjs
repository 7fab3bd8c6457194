import { writeFileSync } from "node:fs";
import { writeFile } from "../../../../dist/core/files.js";

// Writes one file over and over, its letters changing, until it is ended: whole, or as a plain write does (the control); with a turn of the event loop between.

const [, , path, way] = process.argv;
const write = way === "plain" ? writeFileSync : writeFile;
const contents = ["a", "b"].map((letter) => letter.repeat(4_000_000));
process.stdout.write("begun\n");
const parent = process.ppid;
// Ends when the test that started it has gone.
for (let i = 0; process.ppid === parent; i++) {
  write(path, contents[i % 2]);
  await new Promise(setImmediate);
}
