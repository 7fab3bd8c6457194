import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, relative, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { SyntaxKind } from "typescript/unstable/ast";
import { API, SymbolFlags } from "typescript/unstable/sync";

// Every public name of every entry point with its doc comment and declaration, read from the built declarations by the compiler itself.

/**
 * @typedef {object} PublicName
 * @property {string} name
 * @property {string} entry the entry point it is imported from, as one writes it: `sukima/core`
 * @property {string} from the file it is declared in, relative to the folder of declarations, without ending
 * @property {string} doc the doc comment without its tags; empty where there is none
 * @property {readonly { name: string, text: string }[]} tags
 * @property {string} declaration in TypeScript, with the comments inside it and without the one above
 * @property {readonly string[]} hidden types of this project that the declaration mentions and no entry point exports
 * @property {Readonly<Record<string, string | null>>} links what its comments link to by `{@link …}`: `null` for a public name, the value of a constant as JSON, and "" for what is neither
 * @property {readonly { name: string, comment: string }[]} numbers every member that is a number or holds some, with the comment it stands under
 */

/**
 * The public names of a package, by entry point and name.
 *
 * @param {string} root folder with the package.json whose `exports` name built declarations
 * @returns {Promise<PublicName[]>}
 * @throws {Error} if an entry point is not built
 */
export async function publicNames(root) {
  const { name: own, exports } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
  const entries = Object.entries(exports)
    .filter(([, target]) => target.types !== undefined)
    .map(([path, { types }]) => ({ entry: join(own, path), file: resolve(root, types) }));
  const scratch = mkdtempSync(join(tmpdir(), "sukima-api-"));
  const config = join(scratch, "tsconfig.json");
  const compilerOptions = { module: "nodenext", noLib: true, types: [] };
  writeFileSync(config, JSON.stringify({ files: entries.map(({ file }) => file), compilerOptions }));
  const api = new API();
  try {
    const project = api.updateSnapshot({ openProjects: [config] }).getProjects()[0];
    const { checker } = project;
    const seen = entries.flatMap(({ entry, file }) => {
      const source = project.program.getSourceFile(file);
      if (source === undefined) throw new Error(`There is no ${file}: build first, npm run build.`);
      const exported = checker.getExportsOfModule(checker.getSymbolAtLocation(source));
      return exported.map((symbol) => ({ entry, name: symbol.name, symbol: original(symbol, checker) }));
    });
    const known = new Set(seen.map(({ symbol }) => key(symbol)));
    const names = new Set(seen.map(({ name }) => name));
    const constants = await constantsOf(root);
    const order = ({ entry, name }) => `${entry}\n${name.toLowerCase()}\n${name}`;
    return seen
      .map((one) => describe(one, { known, names, constants }, project, resolve(root, "dist")))
      .sort((a, b) => (order(a) < order(b) ? -1 : 1));
  } finally {
    api.close();
    rmSync(scratch, { recursive: true });
  }
}

const original = (symbol, checker) => (symbol.flags & SymbolFlags.Alias ? checker.getAliasedSymbol(symbol) : symbol);
const key = (symbol) => `${symbol.declarations[0]?.path} ${symbol.name}`;

function describe({ entry, name, symbol }, { known, names, constants }, project, root) {
  const { checker } = project;
  const nodes = symbol.declarations.map((handle) => statement(handle.resolve(project)));
  const doc = symbol.getDocumentationComment(checker);
  return {
    name,
    entry,
    from: relative(root, symbol.declarations[0].path).replace(/\.d\.ts$/, ""),
    doc,
    tags: symbol.getJsDocTags(checker).map(({ name: tag, text = "" }) => ({ name: tag, text })),
    declaration: nodes.map((node) => node.getText()).join("\n"),
    hidden: [...new Set(nodes.flatMap((node) => [...hiddenTypes(node, known, checker, root)]))],
    links: Object.fromEntries(
      nodes
        .flatMap((node) => [...node.getFullText().matchAll(/\{@link (\w+)[^}]*\}/g)])
        .map(([, target]) => [target, names.has(target) ? null : (constants.get(target) ?? "")]),
    ),
    numbers: nodes.flatMap((node) => [...memberNumbers(node, name, doc)]),
  };
}

/** Constants of the built files by name, as JSON: what a comment may link to without their being public. */
async function constantsOf(root) {
  const found = new Map();
  for (const file of readdirSync(join(root, "src"), { recursive: true }).filter((name) => name.endsWith(".ts"))) {
    const built = join(root, "dist", file.replace(/\.ts$/, ""));
    if (!existsSync(`${built}.d.ts`)) continue;
    const declared = [...readFileSync(`${built}.d.ts`, "utf8").matchAll(/^export declare const ([A-Z][A-Z0-9_]*)\b/gm)];
    if (declared.length === 0) continue;
    const values = await import(pathToFileURL(`${built}.js`).href);
    for (const [, name] of declared) found.set(name, JSON.stringify(values[name]));
  }
  return found;
}

const NAMES_A_TYPE = new Set([SyntaxKind.TypeReference, SyntaxKind.ExpressionWithTypeArguments, SyntaxKind.TypeQuery, SyntaxKind.ImportType]);

/** Types declared in the project at the top of a file, mentioned below `node`, and not among the `known`. */
function* hiddenTypes(node, known, checker, root) {
  if (NAMES_A_TYPE.has(node.kind)) {
    const named = node.typeName ?? node.exprName ?? node.qualifier ?? node.expression;
    const found = named && checker.getSymbolAtLocation(named);
    const symbol = found && original(found, checker);
    const [at] = symbol?.declarations ?? [];
    const local = symbol && symbol.flags & SymbolFlags.TypeParameter;
    if (at?.path.startsWith(root) && !local && !known.has(key(symbol))) yield `${symbol.name} of ${relative(root, at.path)}`;
  }
  const inner = [];
  node.forEachChild((child) => void inner.push(child));
  for (const child of inner) yield* hiddenTypes(child, known, checker, root);
}
const COMMENT = /\/\*\*[\s\S]*?\*\//g;

/** What is a number itself, or a list of them; not what a function takes, nor the members of an object in it. */
const NUMBER = /\b(number|Float64Array|Int32Array|Interval)\b/;

/**
 * A member without a comment stands under the one of the member before it, as the fields of a comment that tells of several do.
 * Of what a member holds, in braces, the members count for themselves.
 */
function* memberNumbers(node, path, above = "") {
  if (node.members?.length > 0) {
    let comment = above;
    for (const member of node.members) {
      const own = leading(member);
      comment = own === "" ? comment : own;
      const name = `${path}.${member.name?.getText() ?? "[]"}`;
      const inside = [...within(member, name, comment)];
      const itself = member.type === undefined ? "" : inside.length > 0 ? "" : member.type.getText();
      if (NUMBER.test(itself.replaceAll(/\[number\]/g, "").replace(/^\([\s\S]*\) =>/, ""))) yield { name, comment };
      yield* inside;
    }
  } else yield* within(node, path, above);
}

function* within(node, path, above) {
  const inner = [];
  node.forEachChild((child) => {
    if (child.members?.length > 0) inner.push(child);
  });
  if (inner.length > 0) for (const child of inner) yield* memberNumbers(child, path, above);
  else {
    const deeper = [];
    node.forEachChild((child) => void deeper.push(child));
    for (const child of deeper) if (/\{/.test(child.getText())) yield* within(child, path, above);
  }
}

const leading = (node) => node.getFullText().slice(0, node.getLeadingTriviaWidth()).match(COMMENT)?.at(-1) ?? "";

/** What a reader would copy: of a variable the whole `export declare const`. */
function statement(node) {
  const list = node.parent;
  return list?.declarations?.length === 1 ? list.parent : node;
}
