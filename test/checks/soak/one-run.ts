import { readFileSync } from "node:fs";
import { dirname } from "node:path";
import { runNotebook } from "../../../src/render/notebook/run-notebook.js";

// A runner that the soak ends: runs the notebook that it is given.

const path = process.argv[2] ?? "";
await runNotebook(JSON.parse(readFileSync(path, "utf8")), { cwd: dirname(path) });
