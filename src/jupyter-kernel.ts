/**
 * The kernel that Jupyter starts for our notebooks (`notebooks/jupyter/kernels/tslab/kernel.json`): tslab, with what it
 * lacks. Its arguments are those of `tslab kernel`.
 */
import { createRequire } from "node:module";

const program = createRequire(import.meta.url).resolve("tslab/bin/tslab");
process.argv[1] = program;
await import("./render/notebook/mend-tslab.js");
await import("./render/notebook/jupyter-errors.js");
createRequire(program)(program);
