import { setFlagsFromString } from "node:v8";

/** Settings of V8 as Node 20 has it; with other versions they were not measured, and a flag that one does not know would be printed as an error. */
const MEASURED = "20";

/** What a run of a few seconds does with V8's optimising compiler: no function takes others into itself but the smallest, and one is compiled only after four times the usual work. */
const FLAGS = ["--max-inlined-bytecode-size-cumulative=0", "--interrupt-budget=270000"];

/**
 * Prepares the engine for a command that runs a lot of code for a short time: nearly half of its processor time would go to compiling code, on other threads, that hardly runs after that
 * (docs/speed.md). Results do not depend on it. For the process of a command only; a library leaves the engine alone.
 */
export function prepareForShortRun(): void {
  if (process.versions.node.split(".")[0] !== MEASURED) return;
  for (const flag of FLAGS) setFlagsFromString(flag);
}
