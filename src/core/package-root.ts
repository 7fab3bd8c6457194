import { existsSync } from "node:fs";
import { dirname, join } from "node:path";

/** The folder with this package's `package.json`, `data`, `notebooks` and `dist`. It is found from the sources, the build and an installed package. */
export const PACKAGE_ROOT: string = rootAbove(import.meta.dirname);

function rootAbove(folder: string): string {
  if (existsSync(join(folder, "package.json"))) return folder;
  const parent = dirname(folder);
  if (parent === folder) throw new Error("The package's own package.json is missing.");
  return rootAbove(parent);
}
