import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, relative, resolve } from "node:path";
import { API, SymbolFlags } from "typescript/unstable/sync";

// Every public name with its doc comment and declaration, read from the built declarations by the compiler itself.

/**
 * @typedef {object} PublicName
 * @property {string} name
 * @property {string} from the file it is declared in, relative to the folder, without ending
 * @property {string} doc the doc comment without its tags; empty where there is none
 * @property {readonly { name: string, text: string }[]} tags
 * @property {string} declaration in TypeScript, with the comments inside it and without the one above
 * @property {readonly { name: string, comment: string }[]} numbers every member that is a number or holds some, with the comment it stands under
 */

/**
 * The public names of a folder of declarations, by folder and name.
 *
 * @param {string} folder that has `index.d.ts`
 * @returns {PublicName[]}
 * @throws {Error} if there is no `index.d.ts`
 */
export function publicNames(folder) {
  const index = resolve(folder, "index.d.ts");
  const scratch = mkdtempSync(join(tmpdir(), "sukima-api-"));
  const config = join(scratch, "tsconfig.json");
  const compilerOptions = { module: "nodenext", noLib: true, types: [] };
  writeFileSync(config, JSON.stringify({ files: [index], compilerOptions }));
  const api = new API();
  try {
    const project = api.updateSnapshot({ openProjects: [config] }).getProjects()[0];
    const source = project.program.getSourceFile(index);
    if (source === undefined) throw new Error(`There is no ${index}: build first, npm run build.`);
    const exported = project.checker.getExportsOfModule(project.checker.getSymbolAtLocation(source));
    const key = ({ from, name }) => `${from.split("/")[0]}\n${name.toLowerCase()}\n${name}`;
    return exported
      .map((symbol) => describe(symbol, project, resolve(folder)))
      .sort((a, b) => (key(a) < key(b) ? -1 : 1));
  } finally {
    api.close();
    rmSync(scratch, { recursive: true });
  }
}

function describe(seen, project, root) {
  const { checker } = project;
  const symbol = seen.flags & SymbolFlags.Alias ? checker.getAliasedSymbol(seen) : seen;
  const nodes = symbol.declarations.map((handle) => statement(handle.resolve(project)));
  return {
    name: seen.name,
    from: relative(root, symbol.declarations[0].path).replace(/\.d\.ts$/, ""),
    doc: symbol.getDocumentationComment(checker),
    tags: symbol.getJsDocTags(checker).map(({ name, text = "" }) => ({ name, text })),
    declaration: nodes.map((node) => node.getText()).join("\n"),
    numbers: nodes.flatMap((node) => [...memberNumbers(node, seen.name, symbol.getDocumentationComment(checker))]),
  };
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
