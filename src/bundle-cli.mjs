import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { rolldown } from "rolldown";

// Puts the command line into one file for the start and one for each command (dist/cli): to find, read and link its three hundred files, and those of the libraries that it starts with, takes longer than most
// commands. The built files themselves stay as they are, for the library and for threads.

const MAIN = resolve("dist/cli/main.js");
const OUT = resolve("dist/cli");

/** Libraries that are large, or not of JavaScript alone: the commands that use them load them from node_modules. All others are taken in. */
const LEFT_OUT = /^(@|katex|markdown-it|mathjs|vega)/;
const { dependencies } = JSON.parse(readFileSync("package.json", "utf8"));
const TAKEN_IN = Object.keys(dependencies).filter((name) => !LEFT_OUT.test(name));

const packageOf = (path) => path.match(/.*\/node_modules\/((?:@[^/]+\/)?[^/]+)\//);

/** A thread is started with a file of its own, which is found from where the bundle is. */
const threads = {
  name: "threads",
  transform: (code, id) =>
    code.replace(/new URL\("(\.[^"]+)", import\.meta\.url\)/g, (_, path) => `new URL("${within(relative(OUT, resolve(dirname(id), path)))}", import.meta.url)`),
};
const within = (path) => (path.startsWith(".") ? path : `./${path}`);

/** What the bundler puts in where a template holds the end of a script, which no installed package provides. */
const HELPER = "@oxc-project/runtime/helpers/taggedTemplateLiteral";
const templates = {
  name: "templates",
  resolveId: (id) => (id === HELPER ? id : null),
  load: (id) =>
    id === HELPER
      ? 'export default (cooked, raw = cooked.slice()) => Object.freeze(Object.defineProperty(cooked, "raw", { value: Object.freeze(raw) }));'
      : null,
};

const isTakenIn = (id) => TAKEN_IN.some((name) => id === name || id.startsWith(`${name}/`));
const bundle = await rolldown({
  ...{ input: { main: MAIN }, platform: "node", logLevel: "warn", plugins: [threads, templates] },
  external: (id) => /^[^./]/.test(id) && id !== HELPER && !isTakenIn(id),
});
const { output } = await bundle.generate({
  ...{ format: "esm", comments: false, minify: { compress: false, mangle: false, codegen: { removeWhitespace: true } } },
  ...{ hashCharacters: "hex", chunkFileNames: "part-[name]-[hash].js", entryFileNames: "[name].js" },
});
await bundle.close();

for (const name of readdirSync(OUT)) if (name.startsWith("part-")) rmSync(join(OUT, name));
const packages = new Set();
for (const { fileName, code, moduleIds = [] } of output) {
  writeFileSync(join(OUT, fileName), code);
  for (const id of moduleIds) if (packageOf(id)) packages.add(packageOf(id)[0]);
}

/** The licences of the libraries taken in, which have to go with their code. */
const licences = [...packages].sort().map((folder) => {
  const { name, version, license } = JSON.parse(readFileSync(join(folder, "package.json"), "utf8"));
  const file = readdirSync(folder).find((one) => /^licen[cs]e/i.test(one));
  const text = file && existsSync(join(folder, file)) ? readFileSync(join(folder, file), "utf8").trim() : license;
  return `${name} ${version}\n\n${text}\n`;
});
writeFileSync(join(OUT, "licences.txt"), `The command line contains code of these libraries:\n\n${licences.join("\n\n")}`);
