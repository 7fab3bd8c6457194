import { createRequire } from "node:module";

/*
 * Loaded into the kernel's process before tslab, in our runner and in Jupyter, once `process.argv[1]` is the path of tslab's program. Three things that tslab 1.0.22 does not do:
 *
 * - `{ name }` finds a name of an earlier cell: tslab turns the name into `exports.name` wherever it is read, but passes by the shorthand; written out as `{ name: name }` it is
 *   read like any other;
 * - a notebook that does not find `sukima` is told where it has to lie;
 * - a notebook goes on while packages are installed beside it: tslab has room for one waiting update, and its compiler asked for a second one when a package.json or a folder changed. A
 *   module of the notebook's own that changes is still noticed; a package that appears while the kernel runs is found after its next start.
 */

/** The parts of tslab's converter and of its compiler that are taken hold of. */
interface Diagnostic {
  readonly messageText: unknown;
}
interface Converter {
  convert(declared: string, cell: string): { readonly diagnostics: readonly Diagnostic[] };
}
interface ConverterModule {
  createConverter: (options: unknown) => Converter;
}
interface SyntaxNode {
  readonly name: { readonly text: string; getEnd(): number };
  readonly objectAssignmentInitializer?: unknown;
}
interface Watcher {
  close(): void;
}
interface Compiler {
  readonly sys: {
    watchFile?: (path: string, ...others: readonly unknown[]) => Watcher;
    watchDirectory?: (path: string, ...others: readonly unknown[]) => Watcher;
  };
  readonly ScriptTarget: { readonly Latest: number };
  createSourceFile(name: string, text: string, target: number, parents: boolean): SyntaxNode;
  forEachChild(node: SyntaxNode, visit: (child: SyntaxNode) => void): void;
  isShorthandPropertyAssignment(node: SyntaxNode): boolean;
}

const ADVICE =
  " A notebook finds sukima when it lies in a folder below a project that has it: move it below Sukima's own folder, or run “npm install FOLDER-OF-SUKIMA tslab zeromq” in the notebook's folder, and start the kernel anew.";

/** `{ a }` as `{ a: a }` for every name that an earlier cell declares; no line moves. */
function writtenOut(ts: Compiler, declared: string, cell: string): string {
  const places: { readonly end: number; readonly name: string }[] = [];
  const find = (node: SyntaxNode): void => {
    if (ts.isShorthandPropertyAssignment(node) && node.objectAssignmentInitializer === undefined)
      places.push({ end: node.name.getEnd(), name: node.name.text });
    ts.forEachChild(node, find);
  };
  find(ts.createSourceFile("cell.ts", cell, ts.ScriptTarget.Latest, true));
  const isDeclared = (name: string): boolean =>
    new RegExp(`(?<![\\w$])${name.replaceAll("$", "\\$")}(?![\\w$])`).test(declared);
  return places
    .filter(({ name }) => isDeclared(name))
    .reverse()
    .reduce((text, { end, name }) => `${text.slice(0, end)}: ${name}${text.slice(end)}`, cell);
}

const explained = (found: Diagnostic): Diagnostic =>
  typeof found.messageText === "string" && /^Cannot find module ['"]sukima\b/.test(found.messageText)
    ? { ...found, messageText: found.messageText + ADVICE }
    : found;

const NO_WATCHER: Watcher = { close: () => {} };

/** Watches the notebook's own modules and nothing else. */
function watchModulesOnly({ sys }: Compiler): void {
  const { watchFile } = sys;
  sys.watchDirectory = () => NO_WATCHER;
  if (watchFile)
    sys.watchFile = (path, ...others) =>
      /\.[cm]?[jt]sx?$/.test(path) && !path.includes("/node_modules/")
        ? watchFile(path, ...others)
        : NO_WATCHER;
}

/** Does nothing where tslab is not as this file needs it: the runner refuses such a kernel ({@link ./in-kernel.ts}). */
function mendConverter(): void {
  const need = createRequire(process.argv[1] ?? import.meta.url);
  try {
    const ts = need("@tslab/typescript-for-tslab") as Compiler;
    const converter = need("../dist/converter.js") as ConverterModule;
    watchModulesOnly(ts);
    const { createConverter } = converter;
    converter.createConverter = (options) => {
      const made = createConverter(options);
      return {
        ...made,
        convert(declared, cell) {
          const converted = made.convert(declared, writtenOut(ts, declared, cell));
          return { ...converted, diagnostics: converted.diagnostics.map(explained) };
        },
      };
    };
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== "MODULE_NOT_FOUND") throw error;
  }
}

mendConverter();
