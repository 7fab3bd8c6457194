import { readFileSync, writeFileSync } from "node:fs";
import { dirname, join, relative, resolve } from "node:path";
import { pathToFileURL } from "node:url";
import { rolldown } from "rolldown";

// Puts all that `sukima/core` loads into one file, dist/core-bundle.js: to find and link fifty small files takes longer than to run them.
// The files themselves then pass on what the bundle has, so that a class or a constant is the same one wherever it is imported from.

const ENTRY = "dist/core-entry.js";
const BUNDLE = "dist/core-bundle.js";
const ALL = resolve("dist/core-all.js");

/** The files that a built file loads, itself last. */
function loaded(file, seen = new Set()) {
  if (seen.has(file)) return [];
  seen.add(file);
  const imported = [...readFileSync(file, "utf8").matchAll(/(?:^|\s)from "(\.[^"]+)";/g)];
  return [...imported.flatMap(([, path]) => loaded(join(dirname(file), path), seen)), file];
}

const exported = async (file) => Object.keys(await import(pathToFileURL(resolve(file)).href));
const files = await Promise.all(
  loaded(ENTRY).map(async (file, i) => ({ file, names: await exported(file), as: (name) => (file === ENTRY ? name : `${name}$${i}`) })),
);

const all = files
  .map(({ file, names, as }) => `export { ${names.map((name) => `${name} as ${as(name)}`).join(", ")} } from "./${relative("dist", file)}";`)
  .join("\n");
const bundle = await rolldown({
  ...{ input: ALL, platform: "node", logLevel: "warn", external: /^[^./]/ },
  plugins: [{ name: "all", resolveId: (id) => (id === ALL ? id : null), load: (id) => (id === ALL ? all : null) }],
});
await bundle.write({ file: BUNDLE, format: "esm", comments: false });
await bundle.close();

for (const { file, names, as } of files) {
  const path = relative(dirname(file), BUNDLE);
  const passed = names.map((name) => (as(name) === name ? name : `${as(name)} as ${name}`));
  writeFileSync(file, `export { ${passed.join(", ")} } from "${path.startsWith(".") ? path : `./${path}`}";\n`);
}

await import("./bundle-cli.mjs");
