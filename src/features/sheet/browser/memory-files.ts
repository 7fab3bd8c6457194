// What the page has instead of a disk. The build puts this file in the place of node:fs and node:path, so that jobs and tables are read
// by the same code, with the same messages, as on the command line; nothing here is reached outside the page.

/** Text of every file that comes with the page, by path: written in by the build (bundle-sheet.mjs). */
declare const SHIPPED_FILES: Readonly<Record<string, string>>;

const files = new Map<string, Uint8Array>(
  Object.entries(SHIPPED_FILES).map(([path, text]) => [path, new TextEncoder().encode(text)]),
);

/** Where relative paths begin: a job without a title is named after this folder. */
let folder = "/job";

/** Files by their names in a folder. */
export type HeldFiles = Readonly<Record<string, string | Uint8Array>>;

/** Takes these for the files of the folder that relative paths begin at; what was there before is gone. */
export function holdFiles(name: string, held: HeldFiles): void {
  for (const path of [...files.keys()]) if (path.startsWith(`${folder}/`)) files.delete(path);
  folder = `/${name.replaceAll("/", "") || "job"}`;
  for (const [file, content] of Object.entries(held)) putFile(file, content);
}

/** Adds a file to that folder, or another text to a file of it. */
export function putFile(name: string, content: string | Uint8Array): void {
  files.set(resolve(name), typeof content === "string" ? new TextEncoder().encode(content) : content);
}

/** An error as the file system has it, so that it is reported as one. */
const noSuchFile = (path: string): Error =>
  Object.assign(new Error(`There is no ${path}.`), { code: "ENOENT" });

const isFolder = (path: string): boolean =>
  path === "/" || [...files.keys()].some((file) => file.startsWith(`${path}/`));

interface Status {
  readonly size: number;
  readonly isFile: () => boolean;
  readonly isDirectory: () => boolean;
}

export function statSync(path: string, { throwIfNoEntry = true } = {}): Status | undefined {
  const full = resolve(path);
  const bytes = files.get(full);
  if (bytes) return { size: bytes.length, isFile: () => true, isDirectory: () => false };
  if (isFolder(full) || full === folder) return { size: 0, isFile: () => false, isDirectory: () => true };
  if (throwIfNoEntry) throw noSuchFile(path);
  return undefined;
}

export const existsSync = (path: string): boolean => statSync(path, { throwIfNoEntry: false }) !== undefined;

export function readFileSync(path: string, encoding?: string): Uint8Array | string {
  const bytes = files.get(resolve(path));
  if (!bytes) throw noSuchFile(path);
  return encoding === undefined ? bytes.slice() : new TextDecoder().decode(bytes);
}

export function readdirSync(path: string): string[] {
  const start = `${resolve(path)}/`;
  return [...files.keys()].filter((file) => file.startsWith(start)).map((file) => file.slice(start.length));
}

export function realpathSync(path: string): string {
  statSync(path);
  return resolve(path);
}

// node:path, for paths with slashes.

export const sep = "/";

export const isAbsolute = (path: string): boolean => path.startsWith("/");

export function normalize(path: string): string {
  const steps: string[] = [];
  for (const step of path.split("/")) {
    if (step === "" || step === ".") continue;
    if (step === ".." && steps.length > 0 && steps.at(-1) !== "..") steps.pop();
    else if (step !== ".." || !isAbsolute(path)) steps.push(step);
  }
  return (isAbsolute(path) ? "/" : "") + steps.join("/") || ".";
}

export const join = (...parts: readonly string[]): string =>
  normalize(parts.filter((part) => part !== "").join("/"));

export function resolve(...parts: readonly string[]): string {
  const from = parts.findLastIndex(isAbsolute);
  return normalize([...(from < 0 ? [folder] : []), ...parts.slice(Math.max(from, 0))].join("/"));
}

export function dirname(path: string): string {
  const cut = path.lastIndexOf("/");
  return cut < 0 ? "." : path.slice(0, cut) || "/";
}

export const basename = (path: string, end = ""): string => {
  const name = path.slice(path.lastIndexOf("/") + 1);
  return end !== "" && name !== end && name.endsWith(end) ? name.slice(0, -end.length) : name;
};

export function extname(path: string): string {
  const name = basename(path);
  const dot = name.lastIndexOf(".");
  return dot <= 0 ? "" : name.slice(dot);
}

export function relative(from: string, to: string): string {
  const [a, b] = [resolve(from), resolve(to)].map((path) => path.split("/").filter((step) => step !== ""));
  if (!a || !b) return "";
  const shared = a.findIndex((step, i) => step !== b[i]);
  const common = shared < 0 ? a.length : shared;
  return [...a.slice(common).map(() => ".."), ...b.slice(common)].join("/");
}
