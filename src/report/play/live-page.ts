import { FONT, PALETTE } from "../../charts/style.js";
import type { Job } from "../../job/job.js";
import { cellSvg, DRAWING } from "../../play/cell-svg.js";
import { play, playCell } from "../../play/play-cell.js";
import { sliderTexts, verdictText } from "../../play/play-text.js";
import { sizeOf, slidersOf } from "../../play/sliders.js";
import type { Live } from "../display/show.js";
import { escapeHtml } from "../text/escape-html.js";
import { jobToPlay } from "./job-to-play.js";
import { playPage } from "./play-page.js";
import { playScript } from "./play-script.js";

/** What the still picture shows, of the first slider that goes so far: degrees. */
const SHOWN = 1;
/** Height of the line below the still picture, px. */
const CAPTION = 40;

/** The page to play with, to be shown in a notebook: live where pages may be, a still picture with one ramp a degree steep elsewhere. */
export function livePage(job: Job, script = playScript()): Live {
  const playing = jobToPlay(job);
  return { page: playPage(playing, script), title: "A cell to play with", ...still(playing) };
}

function still(job: ReturnType<typeof jobToPlay>): { svg: string; text: string } {
  const sliders = slidersOf(job);
  const ramps = sliders.filter(({ measure, most }) => measure === "angle" && most >= SHOWN);
  // The most acute point shows the most.
  const slider = ramps[1] ?? ramps[0]!;
  const cell = playCell(job);
  const played = play(
    cell,
    sliders.map((one) => (one === slider ? sizeOf(slider, SHOWN) : 0)),
  );
  const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
  const options = { ...limits, unit: job.units, magnification: null };
  const { inside, magnification } = cellSvg(cell.cell, played, options);
  const title = `${slider.label}: ${sliderTexts(slider, SHOWN, job.units).words}`;
  const text = `${title}. ${verdictText(played.prediction, job, job.units)} Movements are drawn ${magnification} times as large.`;
  const head = `<title>${escapeHtml(title)}</title><desc>${escapeHtml(text)}</desc>`;
  const drawn = `movements drawn × ${magnification}`;
  const caption = `<text x="12" y="${DRAWING + CAPTION - 12}" font-family="${FONT}" font-size="20" fill="${PALETTE.ink}">${escapeHtml(`${title}; ${drawn}`)}</text>`;
  const height = DRAWING + CAPTION;
  return {
    svg: `<svg xmlns="http://www.w3.org/2000/svg" width="${DRAWING}" height="${height}" viewBox="0 0 ${DRAWING} ${height}" role="img">${head}<rect width="100%" height="100%" fill="${PALETTE.paper}"/>${inside}${caption}</svg>`,
    text: `A page with sliders; here a still picture of it. ${text}`,
  };
}
