import { mkdir, realpath, stat } from "node:fs/promises";
import { basename, dirname, resolve } from "node:path";
import { writeFiles } from "../../core/files.js";
import { renderNotebook } from "../page/render-notebook.js";
import { NotebookError, readNotebook } from "./notebook.js";
import { type CellStep, type RunOptions, type RunStats, runNotebook } from "./run-notebook.js";

/** The environment variable in which a notebook finds the absolute path of the job's folder. */
export const JOB_VARIABLE = "SUKIMA_JOB";

/** Which notebook is run, for which job, and where the report goes. */
export interface ReportOptions extends Pick<RunOptions, "cellTimeoutMs" | "transport" | "signal"> {
  readonly notebookPath: string;
  /** Folder for the report; made when missing. Not the notebook's own folder. */
  readonly outDir: string;
  /** The job's folder. */
  readonly jobFolder: string;
  /** Called after each cell. */
  readonly onProgress?: ((step: CellStep) => void) | undefined;
}

/** Where a run left its notebook and its page. */
export interface Report {
  /** The executed notebook. */
  readonly notebook: string;
  /** The page. */
  readonly page: string;
  readonly timings: RunStats & {
    /** Time for making the page, milliseconds. */
    readonly renderMs: number;
  };
}

/**
 * Runs a notebook on a job and writes NAME.ipynb and NAME.html.
 *
 * The notebook runs in its own folder. It finds the job's folder, as an absolute path, in the environment variable
 * `SUKIMA_JOB`; in the outputs that path is written as `$SUKIMA_JOB`.
 *
 * @throws NotebookError when the notebook cannot be read or run; the previous report is then as it was
 */
export async function runAndRender(options: ReportOptions): Promise<Report> {
  const { notebookPath, outDir } = options;
  const file = basename(notebookPath);
  const source = await readNotebook(notebookPath);
  const job = await jobFolder(options.jobFolder);
  const cwd = await realpath(dirname(notebookPath));
  await mkdir(outDir, { recursive: true });
  if ((await realpath(outDir)) === cwd)
    throw new NotebookError(
      `the report would replace the notebook; it goes into a folder of its own; ${outDir} (at --out).`,
    );

  const { cellTimeoutMs, transport, signal, onProgress: onCell } = options;
  const run = await runNotebook(source, {
    file,
    cwd,
    cellTimeoutMs,
    transport,
    signal,
    onCell,
    env: { ...process.env, [JOB_VARIABLE]: job },
    hide: [{ path: job, as: `$${JOB_VARIABLE}` }],
  });
  if (run.error !== null) throw new NotebookError(run.error.message, run.error.detail);

  const began = performance.now();
  const html = await renderNotebook(run.notebook, { file });
  const renderMs = performance.now() - began;
  const name = basename(file, ".ipynb");
  const written = writeFiles(outDir, {
    [`${name}.ipynb`]: `${JSON.stringify(run.notebook, null, 1)}\n`,
    [`${name}.html`]: html,
  });
  const [notebook, page] = [written[`${name}.ipynb`]!, written[`${name}.html`]!];
  return { notebook, page, timings: { ...run.stats, renderMs } };
}

async function jobFolder(path: string): Promise<string> {
  const absolute = await realpath(path).catch(() => resolve(path));
  if ((await stat(absolute).catch(() => null))?.isDirectory()) return absolute;
  throw new NotebookError(`there is no job to run the notebook on; a job is a folder; ${path} (at --job).`);
}
