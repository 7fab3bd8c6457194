import { existsSync, readFileSync } from "node:fs";
import { basename, dirname, resolve } from "node:path";
import type { Jig, SetUp } from "../job/job.js";
import { JOB_DEFAULTS } from "../job/job.js";
import { loadJob } from "../job/load-job.js";
import { ASANOHA_ANGLES, CLOSING_SEAT_SHARE } from "../lattice/asanoha-square.js";
import type { PlayJob } from "../play/play-job.js";
import { playPage } from "../report/play/play-page.js";
import { writeReport } from "../report/write-report.js";
import { PRESS_RATIO } from "../seating/seating-model.js";
import { CliError } from "./fail.js";

export interface PageFlags {
  readonly out: string;
  readonly job?: string;
  readonly opening?: string;
}

const SCRIPT = resolve(import.meta.dirname, "../play/page.js");

/** `sukima page --out FILE`: one page, without any network, with a slider for everything that may be off. */
export function pageCommand({ out, job: folder }: PageFlags): string {
  if (!existsSync(SCRIPT))
    throw new CliError(`The page's script is missing; npm run build makes it; looked for ${SCRIPT}.`);
  const job = folder === undefined ? STARTER : playJob(folder);
  const page = playPage(job, readFileSync(SCRIPT, "utf8"));
  writeReport(dirname(resolve(out)), { [basename(out)]: page });
  return `The page: ${out} (${Math.round(page.length / 1000)} kB). Open it in a browser; it needs no network.`;
}

function playJob(folder: string): PlayJob {
  const { title, units, opening, strip, seatShare, pressRatio, jigs, setUps, limits } = loadJob(folder);
  const own = { title, units, opening, strip, seatShare, pressRatio, limits };
  return jigs.length === 0 ? { ...STARTER, ...own } : { ...own, jigs, setUps };
}

const jig = (name: string, ramp: number): Jig => ({
  ...{ name, ramp, fence: "centred", trustedTo: JOB_DEFAULTS.rampTrustedTo, shims: null },
});
const setUp = (name: string, by: string, cuts: string, stopped: boolean): SetUp => ({
  ...{ name, jig: by, cuts: [cuts] },
  stop: stopped ? { trustedTo: JOB_DEFAULTS.stopTrustedTo, step: null } : null,
});

/** A cell for someone without a job: 60 mm opening, 3 mm strips, three jigs. */
const STARTER: PlayJob = {
  ...{
    title: "",
    units: "mm",
    opening: 60,
    strip: 3,
    seatShare: CLOSING_SEAT_SHARE,
    pressRatio: PRESS_RATIO,
  },
  jigs: [
    jig("point-45", ASANOHA_ANGLES.point45),
    jig("point-67", ASANOHA_ANGLES.point67),
    jig("bevel-22", ASANOHA_ANGLES.bevel22),
  ],
  setUps: [
    setUp("diagonal-start", "point-45", "diagonal.start", false),
    setUp("diagonal-end", "point-45", "diagonal.end", true),
    setUp("hinge-point", "point-67", "hinge.point", false),
    setUp("hinge-mitre", "bevel-22", "hinge.mitre", true),
    setUp("hinge-seat", "bevel-22", "hinge.seat", true),
    setUp("key-start", "point-45", "key.start", false),
    setUp("key-end", "point-45", "key.end", true),
  ],
  limits: { gap: JOB_DEFAULTS.gapLimit, snug: JOB_DEFAULTS.snugLimit },
};
