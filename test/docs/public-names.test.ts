import { execFileSync, spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { sourceFiles } from "../checks/house/source-graph.js";
import { longIt } from "../tools/longer.js";
import { ROOT } from "./support/documents.js";

interface PublicName {
  readonly name: string;
  readonly from: string;
  /** Where it is imported from: `sukima/core`. */
  readonly entry: string;
  readonly doc: string;
  readonly tags: readonly { readonly name: string; readonly text: string }[];
  readonly declaration: string;
  /** Types of this project that the declaration mentions and no entry point exports. */
  readonly hidden: readonly string[];
  /** What comments link to: `null` for a public name, a constant's value, or "" for what is neither. */
  readonly links: Readonly<Record<string, string | null>>;
  /** Members that are numbers or hold some, with the comment each stands under. */
  readonly numbers: readonly { readonly name: string; readonly comment: string }[];
}

/** What a number can be of: a unit, a share or chance, or a count of something. */
const KIND =
  /\b(mm²?|rad|radians?|degrees?|inch(es)?|thou|per cent|shares?|chances?|probabilit\w+|odds|counts?|number of|how many|whole|factors?|ratio|correlation|digits|decimals|ind(ex|ices)|places?|seed|costs?|minutes|(milli)?seconds?|pixels?|standard deviations?|standard normals?|units?|variances?|weights?)\b|[%°²]|\b0 (to|…) 1\b/i;

const takesNumbers = ({ declaration }: PublicName): boolean =>
  /\b(number|Float64Array)\b/.test(declaration.replace(/\/\*[\s\S]*?\*\/|\[number\]/g, ""));

const saysWhatOf = ({ doc, tags, declaration }: PublicName): boolean => {
  const comments = declaration.match(/\/\*[\s\S]*?\*\//g) ?? [];
  return KIND.test([doc, ...tags.map(({ text }) => text), ...comments].join("\n"));
};

const printed = execFileSync(process.execPath, [join(ROOT, "test/tools/api.mjs"), "--json"], {
  maxBuffer: 1 << 26,
});
const names = JSON.parse(printed.toString()) as readonly PublicName[];
const called = ({ from, name }: Pick<PublicName, "from" | "name">): string => `${from}: ${name}`;

/** What the compiler says of the built entry points, their declarations checked. */
function declarationErrors(options: object): string {
  const folder = mkdtempSync(join(tmpdir(), "sukima-declarations-"));
  const compilerOptions = {
    target: "es2023",
    module: "nodenext",
    strict: true,
    exactOptionalPropertyTypes: true,
    noEmit: true,
    types: ["node"],
    typeRoots: [join(ROOT, "node_modules/@types")],
    ...options,
  };
  const files = ["index", "core-entry", "uncertainty-entry", "notebook-entry"].map((name) =>
    join(ROOT, "dist", `${name}.d.ts`),
  );
  writeFileSync(join(folder, "tsconfig.json"), JSON.stringify({ compilerOptions, files }));
  const tsc = join(ROOT, "node_modules/typescript/bin/tsc");
  const { stdout } = spawnSync(process.execPath, [tsc, "-p", folder], { encoding: "utf8" });
  rmSync(folder, { recursive: true });
  return stdout;
}

/** Errors that never leave the file or folder that catches them. */
const CAUGHT_INSIDE = ["KernelEnded", "KernelLost", "KernelTimeout", "TooMuch", "Unfit"];

/** Errors that only the command line ends with. */
const OF_THE_COMMAND_LINE = ["Interrupted"];

/** Classes of errors that the files throw or make, by name. */
function thrownErrors(files: readonly { readonly path: string; readonly text: string }[]): string[] {
  const classes = files.flatMap(({ path, text }) =>
    path.startsWith("cli/")
      ? []
      : [...text.matchAll(/^(?:export )?class (\w+) extends (?:\w*Error|Refusal)\b/gm)],
  );
  return [...new Set(classes.map((match) => match[1]!))].sort();
}

describe("what a stranger meets", () => {
  it("mentions no type that cannot be imported", () => {
    const hidden = names.flatMap(({ name, hidden }) => hidden.map((type) => `${name}: ${type}`));
    expect(hidden).toEqual([]);
  });

  it("links to nothing that the page cannot show", () => {
    const links = names.flatMap(({ name, links }) =>
      Object.entries(links).map(([to, value]) => ({ name, to, value })),
    );
    expect(links.length).toBeGreaterThan(30);
    expect(links.filter(({ value }) => value === "")).toEqual([]);
    const page = execFileSync(process.execPath, [join(ROOT, "test/tools/api.mjs"), "--print"], {
      maxBuffer: 1 << 26,
    });
    expect(page.toString()).not.toMatch(/\{@link|`\w+` \(undefined\)/);
  });

  it("can catch every error by its class", () => {
    const thrown = thrownErrors(sourceFiles(join(ROOT, "src")));
    expect(thrown.length).toBeGreaterThan(5);
    const known = new Set([...names.map(({ name }) => name), ...CAUGHT_INSIDE, ...OF_THE_COMMAND_LINE]);
    expect(thrown.filter((name) => !known.has(name))).toEqual([]);
    expect(CAUGHT_INSIDE.filter((name) => !thrown.includes(name))).toEqual([]);
  });

  longIt(
    "compiles the declarations by themselves, as a strict project does that checks those of its packages",
    () => {
      expect(declarationErrors({})).toBe("");
      expect(declarationErrors({ types: [] })).not.toBe("");
    },
  );

  it("finds one thing under one name, whichever entry point has it", () => {
    const other = names.filter(({ name, from }) =>
      names.some((one) => one.name === name && one.from !== from),
    );
    expect(other.map(({ name, entry }) => `${name} of ${entry}`)).toEqual([]);
  });

  it("is seen when it is not so", () => {
    const text = "export class LostError extends Error {}\nclass Other extends LostError {}";
    expect(thrownErrors([{ path: "core/x.ts", text }])).toEqual(["LostError", "Other"]);
  });
});

describe("the public names", () => {
  it("each say what they are", () => {
    expect(names.length).toBeGreaterThan(300);
    expect(names.filter(({ doc }) => doc.trim() === "").map(called)).toEqual([]);
  });

  it("say what their numbers are of", () => {
    expect(names.filter(takesNumbers).length).toBeGreaterThan(100);
    expect(names.filter((name) => takesNumbers(name) && !saysWhatOf(name)).map(called)).toEqual([]);
  });

  it("say it of each member by itself", () => {
    const members = names.flatMap(({ from, numbers }) => numbers.map((member) => ({ from, ...member })));
    expect(members.length).toBeGreaterThan(350);
    expect(members.filter(({ comment }) => !KIND.test(comment)).map(called)).toEqual([]);
  });

  it("are seen when they do not", () => {
    const bare = {
      numbers: [],
      hidden: [],
      links: {},
      entry: "sukima",
      name: "x",
      from: "y",
      doc: "Opens it.",
      tags: [],
      declaration: "declare const x: (by: number) => void;",
    };
    expect(takesNumbers(bare) && !saysWhatOf(bare)).toBe(true);
    expect(saysWhatOf({ ...bare, doc: "Opens it by so many mm." })).toBe(true);
  });
});
