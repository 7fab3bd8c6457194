import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative, sep } from "node:path";
import { parseAst } from "rolldown/parseAst";

/** One file of `src`, as the compiler sees it. */
export interface SourceFile {
  /** Relative to `src`, with slashes: `core/geometry.ts`. */
  readonly path: string;
  readonly text: string;
  /** Relative to `src`; type-only imports, dynamic ones and workers started by their address included. */
  readonly imports: readonly string[];
  /** Names it declares and exports, types included. */
  readonly exports: readonly string[];
  /** Functions, methods and arrow functions with the lines from their first to their last. */
  readonly functions: readonly { readonly name: string; readonly lines: number }[];
  /** `!` after an expression. */
  readonly nonNullAssertions: number;
}

/** What each folder of `src` may import. A folder not named here does not exist; an arrow not named here fails. */
export const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  core: [],
  model: ["core"],
  uncertainty: ["core"],
  physics: ["core", "model"],
  io: ["core", "model", "physics"],
  inference: ["core", "model", "physics", "uncertainty"],
  render: ["core", "model", "physics", "inference", "uncertainty"],
  cli: ["core"],
  features: ["core", "model", "physics", "io", "inference", "render", "uncertainty", "cli"],
};

/** Files that put everything together: nothing imports them, and they may import all. */
const isEntryPoint = (path: string): boolean => !path.includes("/") || path === "cli/main.ts";

/** Comments may show an import, and none of them is one. */
const withoutComments = (text: string): string => text.replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, "");

/** A node of the syntax tree, in the shape that ESTree and typescript-estree give it. */
interface Node {
  readonly type: string;
  readonly start: number;
  readonly end: number;
  readonly [key: string]: unknown;
}

const isNode = (value: unknown): value is Node =>
  typeof value === "object" && value !== null && typeof (value as Node).type === "string";

/** Calls `visit` for a node and all below it, each with the node above it. */
function walk(node: Node, visit: (node: Node, above: Node | null) => void, above: Node | null = null): void {
  visit(node, above);
  for (const child of Object.values(node))
    for (const one of Array.isArray(child) ? child : [child]) if (isNode(one)) walk(one, visit, node);
}

const nameOf = (node: unknown): string | null =>
  isNode(node) && typeof node.name === "string" ? node.name : null;

/** A file as the graph sees it. @throws SyntaxError when it does not parse. */
export function sourceFile(path: string, text: string): SourceFile {
  const imports = new Set<string>();
  const exports = new Set<string>();
  const functions: { name: string; lines: number }[] = [];
  let nonNullAssertions = 0;
  const importing = (source: unknown): void => {
    const target = isNode(source) ? source.value : null;
    if (typeof target !== "string" || !target.startsWith(".")) return;
    imports.add(join(dirname(path), target.replace(/\.js$/, ".ts")).split(sep).join("/"));
  };
  walk(parseAst(text, { lang: "ts" }, path) as unknown as Node, (node, above) => {
    if (/^(Import|ExportNamed|ExportAll)Declaration$|^ImportExpression$|^TSImportType$/.test(node.type))
      importing(node.source);
    if (node.type === "NewExpression" && nameOf(node.callee) === "URL")
      importing((node.arguments as Node[])[0]);
    if (node.type === "ExportNamedDeclaration" && isNode(node.declaration))
      for (const name of declared(node.declaration)) exports.add(name);
    if (/^(FunctionDeclaration|FunctionExpression|ArrowFunctionExpression)$/.test(node.type)) {
      const name = nameOf(node.id) ?? nameOf(above?.id) ?? nameOf(above?.key) ?? "(no name)";
      functions.push({ name, lines: text.slice(node.start, node.end).split("\n").length });
    }
    if (node.type === "TSNonNullExpression") nonNullAssertions++;
  });
  return { path, text, imports: [...imports], exports: [...exports], functions, nonNullAssertions };
}

/** The names of a declaration: of a function, class or type its own, of `const` each one's. */
function declared(declaration: Node): string[] {
  const each = Array.isArray(declaration.declarations) ? (declaration.declarations as Node[]) : [declaration];
  return each.map(({ id }) => nameOf(id)).filter((name) => name !== null);
}

/** Every source file below a folder, in the order of their paths. */
export function sourceFiles(folder: string): SourceFile[] {
  return readdirSync(folder, { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /(?<!\.d)\.(ts|mjs)$/.test(entry.name))
    .map((entry) => join(entry.parentPath, entry.name))
    .map((path) => sourceFile(relative(folder, path).split(sep).join("/"), readFileSync(path, "utf8")))
    .sort((a, b) => (a.path < b.path ? -1 : 1));
}

/** The folder directly under `src`, or the file itself where it lies there: an entry point. */
const room = (path: string): string => path.split("/")[0]!;

/** Imports that run against {@link MAY_IMPORT}, or into another feature past its `index.ts`; each as a sentence. */
export function badArrows(files: readonly SourceFile[]): string[] {
  return files.flatMap(({ path, imports }) =>
    imports.flatMap((target) => {
      const [from, to] = [room(path), room(target)];
      if (isEntryPoint(path)) return [];
      if (isEntryPoint(target)) return [`${path} → ${target}: nothing imports an entry point`];
      if (from === to) return from === "features" ? featureArrow(path, target) : [];
      const allowed = MAY_IMPORT[from];
      if (allowed === undefined) return [`${path}: ${from} is not a known folder`];
      return allowed.includes(to) ? [] : [`${path} → ${target}: ${from} may not import ${to}`];
    }),
  );
}

function featureArrow(path: string, target: string): string[] {
  const [, from] = path.split("/");
  const [, to, ...file] = target.split("/");
  return from === to || file.join("/") === "index.ts"
    ? []
    : [`${path} → ${target}: a feature imports another one through its index.ts`];
}

/** Sets of files that import each other round in a circle, each in the order of their paths. */
export function circles(files: readonly SourceFile[]): string[][] {
  const byPath = new Map(files.map((file) => [file.path, file]));
  const found: string[][] = [];
  const index = new Map<string, number>();
  const lowest = new Map<string, number>();
  const stack: string[] = [];
  // R. Tarjan, "Depth-first search and linear graph algorithms", SIAM J. Comput. 1, 1972: strongly connected components.
  const visit = (path: string): void => {
    index.set(path, index.size);
    lowest.set(path, index.get(path)!);
    stack.push(path);
    for (const target of byPath.get(path)!.imports) {
      if (!byPath.has(target)) continue;
      if (!index.has(target)) visit(target);
      if (stack.includes(target)) lowest.set(path, Math.min(lowest.get(path)!, lowest.get(target)!));
    }
    if (lowest.get(path) !== index.get(path)) return;
    const circle = stack.splice(stack.indexOf(path));
    if (circle.length > 1) found.push(circle.sort());
  };
  for (const { path } of files) if (!index.has(path)) visit(path);
  return found;
}

/** How many files import each file. */
export function importers(files: readonly SourceFile[]): Map<string, number> {
  const count = new Map(files.map(({ path }) => [path, 0]));
  for (const { imports } of files)
    for (const target of imports) if (count.has(target)) count.set(target, count.get(target)! + 1);
  return count;
}

/** Files that nothing reaches from where running begins. */
export function unreached(files: readonly SourceFile[], mains: readonly string[]): string[] {
  const byPath = new Map(files.map((file) => [file.path, file]));
  const seen = new Set<string>();
  const open = [...mains];
  for (let path = open.pop(); path !== undefined; path = open.pop()) {
    if (seen.has(path) || !byPath.has(path)) continue;
    seen.add(path);
    open.push(...byPath.get(path)!.imports);
  }
  return files.map(({ path }) => path).filter((path) => !seen.has(path));
}

/** Exported names of `files` that stand once only in `files` and `users`: where they are made. */
export function unusedNames(files: readonly SourceFile[], users: readonly SourceFile[] = []): string[] {
  const times = new Map<string, number>();
  for (const { text } of [...files, ...users])
    for (const [word] of withoutComments(text).matchAll(/\w+/g)) times.set(word, (times.get(word) ?? 0) + 1);
  return files.flatMap(({ path, exports }) =>
    exports.filter((name) => times.get(name) === 1).map((name) => `${path}: ${name}`),
  );
}

/** Exported names that more than one file declares. */
export function namesTwice(files: readonly SourceFile[]): string[] {
  const places = new Map<string, string[]>();
  for (const { path, exports } of files)
    for (const name of exports) places.set(name, [...(places.get(name) ?? []), path]);
  return [...places]
    .filter(([, paths]) => paths.length > 1)
    .map(([name, paths]) => `${name}: ${paths.join(", ")}`)
    .sort();
}
