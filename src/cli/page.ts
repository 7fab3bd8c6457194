import { writeFile } from "../files/write-file.js";
import { loadJob } from "../job/load-job.js";
import { jobToPlay } from "../report/play/job-to-play.js";
import { playPage } from "../report/play/play-page.js";
import { playScript } from "../report/play/play-script.js";

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
