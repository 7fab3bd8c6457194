import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { PACKAGE_ROOT } from "../../core/package-root.js";

/** What the kernel tells the runner about each piece of JavaScript it is about to run. */
export interface Script {
  /** The name stack traces use, `cell-script-N.js`. */
  readonly name: string;
  readonly code: string;
}

/** What the kernel says instead when it is not one that can be run: what it lacks. */
export interface UnfitKernel {
  readonly unfit: string;
}

/** What is loaded lies among the built files, wherever this is run from: the sources, or a bundle of several files. */
const FROM = pathToFileURL(join(PACKAGE_ROOT, "dist", "render", "notebook", "preload.js"));

/** The arguments that make the kernel's `node` load {@link ./in-kernel.ts} and {@link ./mend-tslab.ts} before anything else. */
export const PRELOAD: readonly string[] = [
  ...["--import", new URL("./in-kernel.js", FROM).href],
  ...["--import", new URL("./mend-tslab.js", FROM).href],
];

export function isScript(message: unknown): message is Script {
  const { name, code } = (message ?? {}) as Partial<Script>;
  return typeof name === "string" && typeof code === "string";
}

export const isUnfitKernel = (message: unknown): message is UnfitKernel =>
  typeof (message as Partial<UnfitKernel> | null)?.unfit === "string";
