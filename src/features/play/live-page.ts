import { writeFile } from "../../core/files.js";
import { at } from "../../core/numeric/dense.js";
import { loadJob } from "../../io/job/load-job.js";
import { requireOutput } from "../../io/outputs.js";
import { patternShop } from "../../io/patterns/pattern-shop.js";
import type { Arrangement } from "../../model/cell/arrangement.js";
import { asanohaSquare } from "../../model/cell/asanoha-square.js";
import { type Jig, JOB_DEFAULTS, type Job, type SetUp } from "../../model/job/job.js";
import { jobArrangement } from "../../model/job/job-cell.js";
import { PRESS_RATIO } from "../../physics/seating/seating-model.js";
import type { Live } from "../../render/notebook/display.js";
import { PALETTE, SIZE } from "../../render/style.js";
import { label, rect, svgDocument } from "../../render/svg.js";
import { cellSvg, DRAWING } from "./cell-svg.js";
import { play, playCell } from "./play-cell.js";
import { type PlayJob, sizeOf, slidersOf } from "./play-job.js";
import { playPage, playScript } from "./play-page.js";
import { sliderTexts, verdictText } from "./play-text.js";

export interface PageFlags {
  readonly out: string;
  readonly job?: string;
}

/** `sukima page --out FILE`: one page, without any network, with a slider for everything that may be off. */
export function pageCommand({ out, job: folder }: PageFlags): string {
  requireOutput(out, "page");
  const page = playPage(jobToPlay(folder === undefined ? undefined : loadJob(folder)), playScript());
  writeFile(out, page);
  return `The page: ${out} (${Math.round(page.length / 1000)} kB). Open it in a browser; it needs no network.`;
}

/** What the still picture shows, of the first slider that goes so far: degrees. */
const SHOWN = 1;
/** Height of the line below the still picture, px. */
const CAPTION = 20;

/** The page to play with, to be shown in a notebook: live where pages may be, a still picture with one ramp a degree steep elsewhere. */
export function livePage(job: Job, script = playScript()): Live {
  const playing = jobToPlay(job);
  return { page: playPage(playing, script), title: "A cell to play with", ...still(playing) };
}

function still(job: ReturnType<typeof jobToPlay>): { svg: string; text: string } {
  const sliders = slidersOf(job);
  const ramps = sliders.filter(({ measure, most }) => measure === "angle" && most >= SHOWN);
  // The most acute point shows the most.
  const slider = ramps[1] ?? at(ramps, 0);
  const cell = playCell(job);
  const played = play(
    cell,
    sliders.map((one) => (one === slider ? sizeOf(slider, SHOWN) : 0)),
  );
  const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
  const options = { ...limits, unit: job.units, magnification: null };
  const { inside, magnification } = cellSvg(cell.cell, played, options);
  const title = `${slider.label}: ${sliderTexts(slider, SHOWN, job.units).words}`;
  const text = `${title}. ${verdictText(played.prediction, cell, job.units)} Movements are drawn ${magnification} times as large.`;
  const caption = label(
    `${title}; movements drawn × ${magnification}`,
    { x: 6, y: DRAWING + CAPTION - 6 },
    { size: SIZE.small },
  );
  const size = { width: DRAWING, height: DRAWING + CAPTION };
  const paper = rect(0, 0, size.width, size.height, { fill: PALETTE.paper });
  return {
    svg: String(svgDocument({ title, description: text, ...size }, paper, inside, caption)),
    text: `A page with sliders; here a still picture of it. ${text}`,
  };
}

/** What the page to play with needs of a job; where the job names no jigs, and where there is none, three common ones. */
export function jobToPlay(job?: Job): PlayJob {
  if (!job) return STARTER;
  const { title, units, opening, strip, depth, pressRatio, jigs, setUps, limits } = job;
  const flat = jobArrangement(job);
  const arrangement = depth === undefined ? flat : { ...flat, depth };
  const own = { title, units, opening, strip, arrangement, pressRatio, limits };
  return jigs.length === 0 ? { ...own, ...shopFor(own.arrangement) } : { ...own, jigs, setUps };
}

/** The jigs and set-ups that a pattern needs, as trusted as any. */
function shopFor(arrangement: Arrangement): Pick<PlayJob, "jigs" | "setUps"> {
  const { jigs, setUps } = patternShop(arrangement);
  return {
    jigs: jigs.map(
      ({ name, angle }): Jig => ({
        name,
        ramp: angle,
        fence: "centred",
        priorSd: JOB_DEFAULTS.rampTrustedTo,
        shims: null,
      }),
    ),
    setUps: setUps.map(
      ({ name, jig, group, stopped }): SetUp => ({
        name,
        jig,
        cuts: [group],
        stop: stopped ? { priorSd: JOB_DEFAULTS.stopTrustedTo, step: null } : null,
      }),
    ),
  };
}

const CELL = { ...asanohaSquare({ opening: 60, strip: 3 }), depth: 12 };

/** A cell for someone without a job: 60 mm opening, strips 3 mm thick and 12 mm deep, three jigs. */
const STARTER: PlayJob = {
  title: "",
  units: "mm",
  opening: 60,
  strip: 3,
  arrangement: CELL,
  pressRatio: PRESS_RATIO,
  ...shopFor(CELL),
  limits: { gap: JOB_DEFAULTS.gapLimit, snug: JOB_DEFAULTS.snugLimit },
};
