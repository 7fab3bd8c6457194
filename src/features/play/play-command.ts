import { writeFile } from "../../core/files/write-files.js";
import { loadJob } from "../../io/job/load-job.js";
import { jobToPlay } from "./live-page.js";
import { playPage, playScript } from "./play-page.js";

export interface PageFlags {
  readonly out: string;
  readonly job?: string;
}

/** `sukima page --out FILE`: one page, without any network, with a slider for everything that may be off. */
export function pageCommand({ out, job: folder }: PageFlags): string {
  const page = playPage(jobToPlay(folder === undefined ? undefined : loadJob(folder)), playScript());
  writeFile(out, page);
  return `The page: ${out} (${Math.round(page.length / 1000)} kB). Open it in a browser; it needs no network.`;
}
