import { readdirSync, readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { resolve } from "node:path";
import { rolldown } from "rolldown";

// Puts the bench page's compiled code, and all that it uses of the library, into one script: dist/features/sheet/sheet.js.
// In the page the files of a job are in memory: browser/memory-files.ts stands in for node:fs and node:path.

const require = createRequire(import.meta.url);
const PATTERNS = "data/patterns";
const shipped = {
  "/sukima/package.json": "{}",
  ...Object.fromEntries(
    readdirSync(PATTERNS)
      .filter((name) => name.endsWith(".yaml"))
      .map((name) => [`/sukima/${PATTERNS}/${name}`, readFileSync(`${PATTERNS}/${name}`, "utf8")]),
  ),
};
const memory = resolve("dist/features/sheet/browser/memory-files.js");
const INSTEAD = {
  "node:fs": memory,
  "node:path": memory,
  "csv-parse/sync": require.resolve("csv-parse/browser/esm/sync"),
  "csv-stringify/sync": require.resolve("csv-stringify/browser/esm/sync"),
};

const sheet = await rolldown({
  input: "dist/features/sheet/browser/main.js",
  platform: "browser",
  // What writes files is not reached from the page, and node:fs has it; were it reached, it would be undefined there.
  onLog: (level, log, report) => (log.code === "SHIMMED_EXPORT" ? undefined : report(level, log)),
  shimMissingExports: true,
  // What only the command line does (charts, threads, writing files) is not reached from the page; if it were, the check below fails.
  external: (id) => !(id in INSTEAD) && /^(node:|vega(-lite)?$|@resvg\/|mathjs$)/.test(id),
  treeshake: { moduleSideEffects: false },
  plugins: [{ name: "in memory", resolveId: (id) => INSTEAD[id] ?? null }],
  transform: {
    define: { SHIPPED_FILES: JSON.stringify(shipped), "import.meta.dirname": '"/sukima"' },
  },
});
const { output } = await sheet.write({
  file: "dist/features/sheet/sheet.js",
  format: "esm",
  minify: true,
  comments: false,
  codeSplitting: false,
});
await sheet.close();
const [{ imports, dynamicImports }] = output;
if (imports.length + dynamicImports.length > 0)
  throw new Error(`The bench page cannot load ${[...imports, ...dynamicImports].join(", ")}; its code must not reach it.`);
