import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { PACKAGE_ROOT } from "../../core/package-root.js";
import { CAUTIONS } from "../../render/cautions.js";
import { jointSwatch } from "../../render/cell/cell-legend.js";
import { type Content, element, type Html, html, htmlPage, raw } from "../../render/html.js";
import { NotebookError } from "../../render/notebook/notebook.js";
import type { JointState } from "../../render/style.js";
import { SWATCH } from "../../render/svg.js";
import { cellSvg, DRAWING } from "./cell-svg.js";
import { type Challenge, challengesOf } from "./challenges.js";
import { MAGNIFICATIONS, play, playCell } from "./play-cell.js";
import { GROUPS, type PlayJob, type Slider, scaleOf, slidersOf } from "./play-job.js";
import { PLAY_STYLE } from "./play-style.js";
import { jointRows, lengthText, sizeText, sliderTexts, verdictText } from "./play-text.js";

/** Steps of a trim, mm. */
const STEPS = [0.01, 0.02, 0.05] as const;
const USUAL_STEP = 0.02;

/**
 * The page to play with: one file that loads nothing. Its Content-Security-Policy lets nothing run but the script given.
 *
 * @param script the bundled code of the page, `dist/play/page.js` of a build.
 */
export function playPage(job: PlayJob, script: string): string {
  const code = inline(script);
  const policy = [
    "default-src 'none'",
    `script-src '${hash(code)}'`,
    `style-src '${hash(PLAY_STYLE)}'`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join("; ");
  const data = inertJson(bare(job));
  const challenges = challengesOf(job);
  const body = html`${bodyOf(job, challenges)}
<script type="application/json" id="job">${raw(data)}</script>
<script type="application/json" id="challenges">${raw(inertJson(challenges))}</script>
<script>${raw(code)}</script>`;
  return htmlPage({ title: "Why does it gap? A cell to play with", policy, style: PLAY_STYLE, body });
}

/** Which side of a deep cell is drawn and listed. */
const SIDES = html`<div class="row screen" role="group" aria-label="Side of the panel">Seen at
<label><input type="radio" name="side" value="front" checked> the front</label>
<label><input type="radio" name="side" value="back"> the back, seen through</label>
</div>
`;

/** What the page needs of a job, and nothing of where it came from. */
const bare = ({
  title,
  units,
  opening,
  strip,
  arrangement,
  pressRatio,
  jigs,
  setUps,
  limits,
}: PlayJob): PlayJob => ({
  title,
  units,
  opening,
  strip,
  arrangement,
  pressRatio,
  limits,
  jigs: jigs.map(({ name, ramp, fence, priorSd, lean }) => ({
    name,
    ramp,
    fence,
    priorSd,
    shims: null,
    ...(lean ? { lean: { priorMean: 0, priorSd: 0, rolled: lean.rolled } } : {}),
  })),
  setUps: setUps.map(({ name, jig, cuts, stop }) => ({
    name,
    jig,
    cuts,
    stop: stop && { priorSd: stop.priorSd, step: null },
  })),
});

/** Data that cannot end the script element it stands in. */
const inertJson = (data: unknown): string => JSON.stringify(data).replaceAll("<", "\\u003c");

const hash = (text: string): string => `sha256-${createHash("sha256").update(text).digest("base64")}`;

/** Text that cannot end or reopen the script element it stands in. */
const inline = (text: string): string =>
  text.replaceAll(/<(?=\/script|!--)/gi, "\\x3c").replaceAll("\r\n", "\n");

function bodyOf(job: PlayJob, challenges: readonly Challenge[]): Html {
  const {
    units: unit,
    arrangement: { depth },
  } = job;
  const sliders = slidersOf(job);
  const played = playCell(job);
  const now = play(played, []);
  const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
  const { inside, magnification } = cellSvg(played.cell, now, { ...limits, unit, magnification: null });
  const said = verdictText(now.prediction, played, unit);
  const size = (mm: number): Html => html`<span data-size="${mm}">${sizeText(mm, unit)}</span>`;
  const length = (mm: number): Html => lengthSpan(mm, unit);
  const radio = (value: PlayJob["units"], text: string): Html =>
    html`<label><input type="radio" name="unit" value="${value}"${unit === value ? raw(" checked") : raw("")}> ${text}</label>`;
  return html`<header>
<h1>Why does it gap?</h1>
<p>One cell of ${job.title === "" ? "kumiko" : job.title}: opening ${size(job.opening)}, strips ${size(job.strip)}${depth === undefined ? "" : html` thick and ${size(depth)} deep`}. Set what may be off; the pieces move until the gaps are shared out and nothing is pressed deeper than it must be.</p>
<noscript><p><strong>The sliders need JavaScript; the drawing below shows the cell with nothing wrong.</strong></p></noscript>
</header>
<main>
<div id="bench">
<section id="look" aria-label="The cell">
<figure>
<div id="pictures">
<svg id="cell" role="img" viewBox="0 0 ${DRAWING} ${DRAWING}" aria-labelledby="cell-title cell-desc" data-widest-gap="${now.prediction.widestGap}" data-deepest-press="${now.prediction.deepestPress}"><title id="cell-title">The cell as the sliders have it</title><desc id="cell-desc">${said}</desc><g id="drawing">${inside}</g></svg>
<svg id="cell-b" role="img" viewBox="0 0 ${DRAWING} ${DRAWING}" aria-labelledby="cell-b-title cell-b-desc" hidden><title id="cell-b-title">The second cell</title><desc id="cell-b-desc"></desc><g id="drawing-b"></g></svg>
</div>
<figcaption><span id="drawn">pieces to scale, movements drawn × ${magnification}</span></figcaption>
</figure>
<p id="verdict">${said}</p>
<p id="verdict-b" hidden></p>
<p id="live" class="hidden" role="status" aria-live="polite"></p>
</section>
<section id="controls" aria-label="What is off">
<div class="row screen" role="group" aria-label="How it is shown">
${radio("mm", "mm")}
${radio("in", "inches")}
<label>Movements drawn <select id="magnification"><option value="">to suit</option>${MAGNIFICATIONS.map((m) => html`<option value="${m}">× ${m}</option>`)}</select></label>
</div>
${depth === undefined ? "" : SIDES}<div class="row screen">
<label>Show me <select id="example"><option value="">one thing wrong …</option>${exampleOptions(sliders, unit)}</select></label>
<button type="button" id="all-zero">Reset all</button>
</div>
<div class="row screen">
<label><input type="checkbox" id="two" autocomplete="off"> Two cells side by side</label>
<span id="which" role="group" aria-label="The cell that the sliders change" hidden>Change
<label><input type="radio" name="active" value="0" checked> the first</label>
<label><input type="radio" name="active" value="1"> the second</label></span>
</div>
<div class="row screen">
<label for="link">Link to this</label><input type="text" id="link" readonly>
<button type="button" id="copy">Copy link</button>
<button type="button" id="print">Print</button>
<span id="copied" role="status"></span>
</div>
<p id="refused" class="fault screen" role="alert"></p>
${challengeHtml(challenges)}${GROUPS.map((group) => groupOf(group, sliders, unit))}
<fieldset class="screen" id="trimming"><legend>Trim to fit</legend>
<p class="quiet">A piece that is too long is shortened at its end by small steps until nothing at its joints is pressed deeper than ${length(job.limits.snug)}. What is taken off too much stays open.</p>
<div class="row">
<label>Piece <select id="piece">${played.cell.pieces.map(({ name }) => html`<option>${name}</option>`)}<option value="all">all, as they are put in</option></select></label>
<label>by <select id="step">${STEPS.map((step) => element("option", { value: step, "data-length": step, selected: step === USUAL_STEP ? "" : undefined }, lengthText(step, unit)))}</select></label>
</div>
<div class="row">
<button type="button" id="trim-once">Trim one step</button>
<button type="button" id="trim-until" class="primary">Trim until it goes in</button>
<button type="button" id="untrim">Put back</button>
</div>
<p id="trimmed" role="status">Nothing has been trimmed.</p>
</fieldset>
</section>
</div>
<section id="joints" aria-label="Every joint">
<ul class="legend">${legend(job, unit)}</ul>
<table><caption>Gap at both ends of every joint<span id="side-shown">${depth === undefined ? "" : ", front"}</span></caption>
<thead><tr><th scope="col">joint</th><th scope="col">toe</th><th scope="col">heel</th></tr></thead>
<tbody id="rows">${jointRows(now.prediction, played, unit)}</tbody></table>
<p class="quiet">Worked out in exact order, as the library does; gaps taken as proportional to the errors would differ by up to <span id="order">${lengthText(now.prediction.firstOrderDifference, unit)}</span> here. ${depth === undefined ? "" : "Front is the side towards you; where a ramp leans, a joint may be tight there and open at the back. "}Toe: the end of a joint nearer the piece's point; heel: the end at its shoulder. A cell closes when no gap is over ${length(job.limits.gap)} and nothing is pressed deeper than ${length(job.limits.snug)}. Scatter from cut to cut is left out.</p>
</section>
</main>
<footer>
<h2>Before you cut or adjust</h2>
<ul>${CAUTIONS.map((caution) => html`<li>${caution}</li>`)}</ul>
</footer>`;
}

const lengthSpan = (mm: number, unit: PlayJob["units"]): Html =>
  html`<span data-length="${mm}">${lengthText(mm, unit)}</span>`;

function groupOf(group: Slider["group"], sliders: readonly Slider[], unit: PlayJob["units"]): Content {
  const own = sliders.filter((slider) => slider.group === group);
  if (own.length === 0) return "";
  return html`<fieldset data-group="${group}"><legend>${group}</legend>
${own.map((slider) => sliderHtml(slider, unit))}</fieldset>
`;
}

function sliderHtml(slider: Slider, unit: PlayJob["units"]): Html {
  const { id, label, says } = slider;
  const { most, step } = scaleOf(slider, unit);
  const { short, words } = sliderTexts(slider, 0, unit);
  return html`<div class="slider"><label for="${id}">${label}</label><input type="text" class="size" id="${id}-size" value="${short}" aria-label="${label}, to type" autocomplete="off" spellcheck="false"><button type="button" id="${id}-zero" aria-label="${label}: set to 0">0</button><input type="range" id="${id}" min="${-most}" max="${most}" step="${step}" value="0" data-value="0" aria-valuetext="${words}" autocomplete="off"><span class="ends" aria-hidden="true"><span>← ${says[1]}</span><span>${says[0]} →</span></span><span class="fault" id="${id}-fault" role="alert"></span></div>
`;
}

function challengeHtml(challenges: readonly Challenge[]): Content {
  if (challenges.length === 0) return "";
  return html`<fieldset class="screen"><legend>Challenge: close this cell with one move</legend>
<p class="quiet">Something is off that the sliders do not show. Find it from the gaps, and move one ramp or one stop until the cell closes.</p>
<div class="row">${challenges.map(({ title }, k) => html`<button type="button" id="challenge-${k}" aria-pressed="false">${title}</button>`)}
<button type="button" id="show-faults" hidden>Show what is off</button>
<button type="button" id="leave" hidden>Leave</button></div>
<p id="standing" role="status"></p>
</fieldset>
`;
}

/** Every slider by itself, half way either way. */
const exampleOptions = (sliders: readonly Slider[], unit: PlayJob["units"]): Html[] =>
  GROUPS.map((group) => {
    const options = sliders
      .filter((slider) => slider.group === group)
      .flatMap((slider) =>
        [1, -1].map((sign) => {
          const { most, step, size } = scaleOf(slider, unit);
          const value = sign * Number((Math.round(most / 2 / step) * step * size).toFixed(6));
          const { words } = sliderTexts(slider, value, unit);
          return html`<option value="${slider.id} ${value}">${slider.label}: ${words}</option>`;
        }),
      );
    return html`<optgroup label="${group}">${options}</optgroup>`;
  });

function legend(job: PlayJob, unit: PlayJob["units"]): Html[] {
  const entries: readonly (readonly [JointState, Content])[] = [
    ["wide", ["gap over ", lengthSpan(job.limits.gap, unit), ": solid"]],
    ["open", "gap up to that: dashed rim"],
    ["closed", ["closed to ", lengthSpan(job.limits.snug, unit), ": dark line"]],
    ["pressed", "pressed deeper: crossed"],
  ];
  return entries.map(
    ([state, text]) =>
      html`<li><svg viewBox="0 0 ${SWATCH} 14" aria-hidden="true">${jointSwatch(state, 0, 7)}</svg>${text}</li>`,
  );
}

/** Beside the compiled library: the build bundles it from the library's own code. */
const FILE = "page.js";

/**
 * The script of the page to play with.
 *
 * @throws NotebookError when the project was not built.
 */
export function playScript(folder = join(PACKAGE_ROOT, "dist/features/play")): string {
  const file = resolve(folder, FILE);
  if (!existsSync(file))
    throw new NotebookError(`The page's script is missing; npm run build makes it; looked for ${file}.`);
  return readFileSync(file, "utf8");
}
