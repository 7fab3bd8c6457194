import { execFileSync } from "node:child_process";
import { cpSync, existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, realpathSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";

// Packs the project from a clean build, and uses the package as a stranger would: in two projects that have a TypeScript of their own, 5 and 7, and in
// one that runs notebooks; from TypeScript, JavaScript and the command line.
// Needs the registry, for the package's own dependencies. Says what each step gave; ends with 1 at the first that is not as it should be.

const ROOT = join(import.meta.dirname, "../..");

/**
 * The package file, and what stands in it unpacked, bytes. The bench page's one script is 0.7 MB of it, the bundled commands 1.6 MB, the reference and the table of checks 0.6 MB. A package that
 * outgrows the limits was given something it does not need.
 */
const MOST = { packed: 2_200_000, unpacked: 7_500_000 };

const scratch = mkdtempSync(join(tmpdir(), "sukima package "));
const stage = join(scratch, "stage");

/** Compilers that a stranger's project may have, and what its `npx tsc` must go on saying. */
const COMPILERS = ["5", "7"];

const run = (folder, command, ...args) =>
  execFileSync(command, args, { cwd: folder, encoding: "utf8", stdio: ["ignore", "pipe", "pipe"], maxBuffer: 1 << 26 });

function hold(claim, what) {
  if (!claim) throw new Error(what);
  console.log(`ok  ${what}`);
}

const MB = (bytes) => `${(bytes / 1e6).toFixed(2)} MB`;

/** The project as it stands, without what git ignores, so that neither what was built before nor what lies about gets into the package. */
function packed() {
  const files = run(ROOT, "git", "ls-files", "-z", "--cached", "--others", "--exclude-standard").split("\0").filter((file) => file !== "" && (!file.startsWith("test/") || file.startsWith("test/tools/")));
  for (const file of files.filter((name) => existsSync(join(ROOT, name)))) {
    mkdirSync(dirname(join(stage, file)), { recursive: true });
    cpSync(join(ROOT, file), join(stage, file));
  }
  symlinkSync(join(ROOT, "node_modules"), join(stage, "node_modules"));
  const printed = run(stage, "npm", "pack", "--json");
  return JSON.parse(printed.slice(printed.indexOf("\n[") + 1))[0];
}

function checkContents({ size, unpackedSize, entryCount, files }) {
  const names = files.map(({ path }) => path);
  console.log(`    ${entryCount} files, ${MB(size)} packed, ${MB(unpackedSize)} unpacked`);
  hold(size <= MOST.packed && unpackedSize <= MOST.unpacked, "no larger than stated");
  const needed = ["LICENSE", "README.md", "package.json", "dist/index.js", "dist/index.d.ts", "dist/core-entry.js", "dist/uncertainty-entry.d.ts", "dist/notebook-entry.js", "dist/cli/main.js", "docs/api.md", "notebooks/01-calibrate-a-jig.ipynb", "data/patterns/diamond.yaml"];
  hold(needed.every((name) => names.includes(name)), "licence, code, types, reference, notebooks and patterns are in it");
  const foreign = names.filter((name) => /^(src|test|node_modules|\.ci)\//.test(name) || /^dist-checks\/|^dist\/(validate|bench|study|fuzz|checks)[/.]/.test(name));
  hold(foreign.length === 0, `nothing in it that only the project's own checks need${foreign.length > 0 ? `: ${foreign.slice(0, 5).join(", ")}` : ""}`);
}

const install = (folder, ...what) =>
  run(folder, "npm", "install", "--prefer-offline", "--no-audit", "--no-fund", "--loglevel=error", ...what);

function newProject(name) {
  const folder = join(scratch, name);
  mkdirSync(folder);
  writeFileSync(join(folder, "package.json"), JSON.stringify({ name, version: "1.0.0", private: true, type: "module" }));
  return folder;
}

const programs = (folder) => readdirSync(join(folder, "node_modules/.bin")).filter((name) => !name.startsWith("."));

/** A project with a compiler of its own before the package comes, and after. */
function checkBeside(tarball, major) {
  const folder = newProject(`consumer ${major}`);
  install(folder, "--save-dev", `typescript@${major}`);
  const version = () => run(folder, "npx", "--no-install", "tsc", "--version").trim();
  const [before, had] = [version(), programs(folder).map((name) => [name, realpathSync(join(folder, "node_modules/.bin", name))])];
  install(folder, tarball);
  hold(version() === before && before.startsWith(`Version ${major}.`), `npx tsc --version is ${before} before and after`);
  hold(had.every(([name, to]) => realpathSync(join(folder, "node_modules/.bin", name)) === to), `the project's own programs are its own: ${had.map(([name]) => name).join(", ")}`);
  const own = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8"));
  const there = (name) => existsSync(join(folder, "node_modules", name));
  hold(Object.keys(own.dependencies).every(there), "the package's dependencies were installed");
  const strangers = Object.keys(own.devDependencies).filter((name) => !["sukima", "typescript"].includes(name) && !name.startsWith("@types/") && there(name));
  hold(strangers.length === 0, `none of the development ones was, nor the notebooks' kernel${strangers.length > 0 ? `: ${strangers.join(", ")}` : ""}`);
  console.log(`    ${MB(Number(run(folder, "du", "-sk", "node_modules").split("\t")[0]) * 1024)} installed with all it needs; programs: ${programs(folder).join(", ")}`);
  consume(folder);
  command(folder);
}

function consume(folder) {
  const job = join(folder, "node_modules/sukima/data/alcove-screen");
  for (const name of ["typed.ts", "plain.mjs"]) cpSync(join(ROOT, "test/package/consumer", name), join(folder, name));
  const required = readFileSync(join(folder, "plain.mjs"), "utf8").replaceAll(/^import (\{[^}]*\}) from ("sukima[/\w]*")/gm, "const $1 = require($2)");
  writeFileSync(join(folder, "plain.cjs"), required);
  const options = { target: "es2023", module: "nodenext", strict: true, exactOptionalPropertyTypes: true, noUncheckedIndexedAccess: true, verbatimModuleSyntax: true, types: ["node"], typeRoots: [join(ROOT, "node_modules/@types")] };
  writeFileSync(join(folder, "tsconfig.json"), JSON.stringify({ compilerOptions: options, files: ["typed.ts"] }));
  run(folder, "npx", "--no-install", "tsc", "-p", ".");
  hold(true, "strict TypeScript compiles by the project's own compiler, declarations of the package checked too");
  const said = ["typed.js", "plain.mjs", "plain.cjs"].map((file) => run(folder, process.execPath, file, job).trim());
  console.log(`    ${said[0]}`);
  hold(said.every((line) => line === said[0]), "TypeScript, JavaScript and require print the same, from all entry points");
  const { opening, right, short, refused, closes, expanded, text } = JSON.parse(said[0]);
  hold(opening === 60.325, "2 3/8 in is 60.325 mm");
  hold(Math.abs(right) < 1e-9 && short > 0.05 && short < 0.5, "a cell without errors closes, one whose hinges are 0.2 mm short gaps");
  hold(refused === "JobError" && closes > 0 && closes < 1, "a job that is not there is refused, one that is there is foretold");
  hold(Math.abs(expanded - 2) < 0.1 && text.includes("gap"), "a formula has its uncertainty, and a table its text");
}

function command(folder) {
  const sukima = (...args) => run(folder, "npx", "--no-install", "sukima", ...args);
  const { version } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8"));
  hold(sukima("--version").trim() === version, `sukima --version says ${version}`);
  sukima("new", "my-screen");
  sukima("card", "my-screen", "--out", "my-screen/card.html");
  sukima("page", "--out", "play.html");
  sukima("draw", "cell", "--job", "my-screen", "--out", "cell.png");
  sukima("pattern", "diamond");
  for (const file of ["my-screen/card.html", "play.html", "cell.png"]) hold(readFileSync(join(folder, file)).length > 5000, `${file} was written`);
  let refusal = "";
  try {
    sukima(...NOTEBOOK);
  } catch (error) {
    refusal = error.stderr;
  }
  hold(refusal.includes("npm install --save-dev tslab zeromq"), "a notebook without its kernel says what to install");
}

const NOTEBOOK = ["notebook", "01-calibrate-a-jig", "--job", "node_modules/sukima/data/alcove-screen", "--out", "report"];

/** A project that runs notebooks has the kernel beside the package. */
function checkNotebook(tarball) {
  const { peerDependencies } = JSON.parse(readFileSync(join(ROOT, "package.json"), "utf8"));
  const folder = newProject("notebooks");
  install(folder, tarball, ...Object.entries(peerDependencies).map(([name, range]) => `${name}@${range}`));
  run(folder, "npx", "--no-install", "sukima", ...NOTEBOOK);
  hold(readFileSync(join(folder, "report/01-calibrate-a-jig.html"), "utf8").includes("<svg"), "with it, a notebook runs, with its drawings");
}

try {
  const made = packed();
  const tarball = join(stage, made.filename);
  checkContents(made);
  console.log(run(ROOT, process.execPath, "node_modules/publint/src/cli.js", "run", tarball, "--strict").trim());
  hold(true, "the linter for packages has nothing to say");
  for (const major of COMPILERS) checkBeside(tarball, major);
  checkNotebook(tarball);
} catch (error) {
  console.error(`!!  ${error.message}\n${error.stdout ?? ""}`);
  process.exitCode = 1;
} finally {
  rmSync(scratch, { recursive: true, force: true });
}
