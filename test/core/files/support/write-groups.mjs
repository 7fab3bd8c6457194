import { writeFiles } from "../../../../dist/core/files.js";

// Writes a group of files over and over, all with the same letter, until it is ended.

const [, , folder, letter] = process.argv;
process.stdout.write("begun\n");
const parent = process.ppid;
for (let i = 0; process.ppid === parent; i++) {
  const content = `${letter}${i} `.repeat(20_000);
  writeFiles(folder, Object.fromEntries([0, 1, 2, 3, 4].map((k) => [`file-${k}`, content])));
  await new Promise(setImmediate);
}
