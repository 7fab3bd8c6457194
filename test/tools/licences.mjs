import { existsSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";

// Writes docs/licences.md: every package in the lock file with its licence, what it is for and whether it runs a script when it is installed.
// `--check` compares instead, and reads the licence of each installed package beside it.

const ROOT = join(import.meta.dirname, "../..");
const PAGE = join(ROOT, "docs/licences.md");
const { packages } = JSON.parse(readFileSync(join(ROOT, "package-lock.json"), "utf8"));

const found = Object.entries(packages)
  .filter(([path, { link }]) => path !== "" && !link)
  .map(([path, entry]) => ({ path, name: path.replace(/^.*node_modules\//, ""), ...entry }))
  .sort((a, b) => (`${a.name} ${a.version}` < `${b.name} ${b.version}` ? -1 : 1));

/** Users get what is neither for development nor an optional peer alone. */
const partOf = ({ dev, devOptional, optional, peer }) =>
  dev || devOptional || peer ? "development" : optional ? "one platform" : "users";

const text = ({ license }) => license ?? "not stated";
const rows = [...new Set(found.map((one) => `| ${one.name} | ${one.version} | ${text(one)} | ${partOf(one)} | ${one.hasInstallScript ? "yes" : ""} |`))];
const counts = Map.groupBy
  ? Map.groupBy(found, text)
  : found.reduce((all, one) => all.set(text(one), [...(all.get(text(one)) ?? []), one]), new Map());
const summary = [...counts].sort(([, a], [, b]) => b.length - a.length).map(([licence, all]) => `${licence} ${all.length}`);
const scripts = found.filter(({ hasInstallScript }) => hasInstallScript).map(({ name }) => name);

const page = `# Licences of what is installed

Sukima itself is under the MIT licence. This table is written by \`npm run licences\` from the lock file, where the registry's entry of each package states its licence; a test compares the two, and the licences with those in the installed packages. “users”: installed with the package. “one platform”: likewise, but only where the processor and system are the package's. “development”: only in a clone of this project, or beside the optional notebook kernel.

${found.length} packages: ${summary.join(", ")}. Install scripts: ${scripts.length === 0 ? "none" : scripts.join(", ")}${scripts.join() === "zeromq" ? ", which sets up its compiled library; it is the transport of the optional notebook kernel, and `allowScripts` in package.json names it" : ""}.

| package | version | licence | for | install script |
| --- | --- | --- | --- | --- |
${rows.join("\n")}
`;

if (process.argv.includes("--check")) {
  const wrong = found.flatMap(({ path, name, license }) => {
    const file = join(ROOT, path, "package.json");
    if (!existsSync(file)) return [];
    const own = JSON.parse(readFileSync(file, "utf8")).license;
    return own === undefined || own === license ? [] : [`${name}: ${license} in the lock file, ${JSON.stringify(own)} in the package`];
  });
  if (readFileSync(PAGE, "utf8") !== page) wrong.push("docs/licences.md is not what npm run licences writes");
  process.stdout.write(wrong.map((line) => `${line}\n`).join(""));
  process.exitCode = wrong.length === 0 ? 0 : 1;
} else writeFileSync(PAGE, page);
