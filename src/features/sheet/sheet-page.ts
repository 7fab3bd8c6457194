import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { basename, dirname, join, resolve } from "node:path";
import { parse } from "yaml";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { PACKAGE_ROOT } from "../../core/package-root.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { jobFile, readText, TRIALS_FILE, trialsFile } from "../../io/files.js";
import { loadJob } from "../../io/job/load-job.js";
import { requireOutput } from "../../io/outputs.js";
import { loadTrialPlan } from "../../io/trials/load-trials.js";
import { html, htmlPage, raw } from "../../render/html.js";
import { drawingStyle } from "../calibrate/index.js";
import { SHEET_STYLE } from "./sheet-style.js";

export interface SheetFlags {
  readonly out: string;
  readonly units: LengthUnit;
}

/** `sukima sheet [FOLDER] --out FILE`: the page for the bench. */
export function sheetCommand(folder: string | undefined, { out, units }: SheetFlags): string {
  const page = sheetPage(folder === undefined ? { ...NO_JOB, units } : startOf(folder), sheetScript());
  requireOutput(out, "page");
  writeFile(out, page);
  return [
    `The bench page: ${out} (${Math.round(Buffer.byteLength(page) / 1000)} kB).`,
    "Open it in a browser, on this machine or on a phone; it needs no network, and what is typed stays in that browser.",
    "Its page “Files” saves job.yaml and trials.csv for the other commands, and opens them again.",
  ].join("\n");
}

/** What the page begins with. */
interface SheetStart {
  /** Name of the job's folder, after which a job without a title is named. */
  readonly folder: string;
  /** Empty where the page starts with an empty shop. */
  readonly jobFile: string;
  readonly files: Readonly<Record<string, string>>;
  readonly units: LengthUnit;
}

const NO_JOB: SheetStart = { folder: "", jobFile: "", files: {}, units: "mm" };

/** A job with its readings, and the files that it names. @throws JobError when the command line would refuse them */
function startOf(path: string): SheetStart {
  const job = loadJob(path);
  const table = trialsFile(path);
  const trials = existsSync(table);
  if (trials) loadTrialPlan(table, job);
  const file = jobFile(path);
  const text = readText(file);
  const { pattern, records = [] } = parse(text) as { pattern: unknown; records?: string | readonly string[] };
  const named = [...(/\.ya?ml$/i.test(String(pattern)) ? [String(pattern)] : []), ...[records].flat()];
  return {
    folder: basename(dirname(resolve(file))),
    jobFile: basename(file),
    units: job.units,
    files: {
      [basename(file)]: text,
      ...(trials ? { [TRIALS_FILE]: readText(table) } : {}),
      ...Object.fromEntries(named.map((name) => [name, readText(join(dirname(file), name))])),
    },
  };
}

const VIEWS = [
  ["shop", "Shop"],
  ["readings", "Readings"],
  ["answer", "Answer"],
  ["files", "Files"],
] as const;

/**
 * The bench page: one file that loads nothing. Its Content-Security-Policy lets nothing run but the script given, in the page and in a thread that
 * the page starts from the same script, with the WebAssembly that the script writes; nothing can be fetched from or sent to anywhere.
 *
 * @param script the bundled code of the page, `dist/features/sheet/sheet.js` of a build
 */
export function sheetPage(start: SheetStart, script: string): string {
  const code = inline(script);
  const hash = createHash("sha256").update(code).digest("base64");
  const policy = [
    "default-src 'none'",
    `script-src 'sha256-${hash}' 'wasm-unsafe-eval'`,
    "worker-src blob:",
    // The card comes with a style of its own.
    "style-src 'unsafe-inline'",
    "base-uri 'none'",
    "form-action 'none'",
  ].join("; ");
  const data = JSON.stringify(start).replaceAll("<", "\\u003c");
  const body = html`<div class="screen">
<header><h1>Bench page</h1><p id="job"></p></header>
<nav aria-label="Parts of the page">${VIEWS.map(([view, name]) => html`<button type="button" data-act="view" data-view="${view}">${name}</button>`)}</nav>
<main id="main" tabindex="-1"><p>This page needs JavaScript, which is switched off or not allowed here. Open the file in a web browser.</p></main>
<p id="live" class="hidden" role="status" aria-live="polite"></p>
</div>
<div id="paper" aria-hidden="true"></div>
<script type="application/json" id="start">${raw(data)}</script>
<script id="code">${raw(code)}</script>`;
  return htmlPage({ title: "Bench page", policy, style: `${SHEET_STYLE}${drawingStyle(".on-jig ")}`, body });
}

/** Text that cannot end or reopen the script element it stands in. */
const inline = (text: string): string =>
  text.replaceAll(/<(?=\/script|!--)/gi, "\\x3c").replaceAll("\r\n", "\n");

/** Beside the compiled library: the build bundles it from the library's own code. */
const FILE = "dist/features/sheet/sheet.js";

/** The script of the bench page. @throws UserError when the project was not built */
function sheetScript(): string {
  const file = join(PACKAGE_ROOT, FILE);
  if (!existsSync(file))
    throw new UserError(
      "command",
      `The page's script is missing; npm run build makes it; looked for ${file}.`,
    );
  return readFileSync(file, "utf8");
}
