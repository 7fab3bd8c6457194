import { createHash } from "node:crypto";
import { existsSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { PACKAGE_ROOT } from "../../core/package-root.js";
import { CAUTIONS } from "../../render/cautions.js";
import { escapeHtml } from "../../render/html.js";
import { NotebookError } from "../../render/notebook/notebook.js";
import { JOINT_STYLE, type JointState, PALETTE } from "../../render/style.js";
import { cellSvg, DRAWING } from "./cell-svg.js";
import { play, playCell } from "./play-cell.js";
import { GROUPS, type PlayJob, type Slider, slidersOf } from "./play-job.js";
import { PLAY_STYLE } from "./play-style.js";
import { jointRows, lengthText, sizeText, sliderTexts, verdictText } from "./play-text.js";

const MAGNIFICATIONS = [1, 2, 5, 10, 20, 50] as const;
/** Steps of a trim, mm. */
const STEPS = [0.01, 0.02, 0.05] as const;

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
  const data = JSON.stringify(bare(job)).replaceAll("<", "\\u003c");
  return `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Why does it gap? A cell to play with</title>
<style>${PLAY_STYLE}</style>
</head>
<body>
${bodyOf(job)}
<script type="application/json" id="job">${data}</script>
<script>${code}</script>
</body>
</html>
`;
}

/** Which side of a deep cell is drawn and listed. */
const SIDES = `<div class="row screen" role="group" aria-label="Side of the panel">Seen at
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
  ...{ title, units, opening, strip, arrangement, pressRatio, limits },
  jigs: jigs.map(({ name, ramp, fence, priorSd, lean }) => ({
    ...{ name, ramp, fence, priorSd, shims: null },
    ...(lean ? { lean: { priorMean: 0, priorSd: 0, rolled: lean.rolled } } : {}),
  })),
  setUps: setUps.map(({ name, jig, cuts, stop }) => ({
    ...{ name, jig, cuts },
    stop: stop && { priorSd: stop.priorSd, step: null },
  })),
});

const hash = (text: string): string => `sha256-${createHash("sha256").update(text).digest("base64")}`;

/** Text that cannot end or reopen the script element it stands in. */
const inline = (text: string): string =>
  text.replaceAll(/<(?=\/script|!--)/gi, "\\x3c").replaceAll("\r\n", "\n");

function bodyOf(job: PlayJob): string {
  const {
    units: unit,
    arrangement: { depth },
  } = job;
  const sliders = slidersOf(job);
  const played = playCell(job);
  const now = play(played, []);
  const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
  const { inside, magnification } = cellSvg(played.cell, now, { ...limits, unit, magnification: null });
  const said = verdictText(now.prediction, job, unit);
  const size = (mm: number): string => `<span data-size="${mm}">${sizeText(mm, unit)}</span>`;
  const length = (mm: number): string => `<span data-length="${mm}">${lengthText(mm, unit)}</span>`;
  return `<header>
<h1>Why does it gap?</h1>
<p>One cell of ${escapeHtml(job.title === "" ? "kumiko" : job.title)}: opening ${size(job.opening)}, strips ${size(job.strip)}${depth === undefined ? "" : ` thick and ${size(depth)} deep`}. Set what may be off; the pieces move until the gaps are shared out and nothing is pressed deeper than it must be.</p>
<noscript><p><strong>The sliders need JavaScript; the drawing below shows the cell with nothing wrong.</strong></p></noscript>
</header>
<main>
<section id="look" aria-label="The cell">
<figure>
<svg id="cell" role="img" viewBox="0 0 ${DRAWING} ${DRAWING}" aria-labelledby="cell-title cell-desc" data-worst-gap="${now.prediction.worstGap}" data-worst-press="${now.prediction.worstPress}"><title id="cell-title">The cell as the sliders have it</title><desc id="cell-desc">${said}</desc><g id="drawing">${inside}</g></svg>
<figcaption><span id="drawn">pieces to scale, movements drawn × ${magnification}</span></figcaption>
</figure>
<p id="verdict">${said}</p>
<p id="live" class="hidden" role="status" aria-live="polite"></p>
</section>
<section id="controls" aria-label="What is off">
<div class="row screen" role="group" aria-label="How it is shown">
<label><input type="radio" name="unit" value="mm"${unit === "mm" ? " checked" : ""}> mm</label>
<label><input type="radio" name="unit" value="in"${unit === "in" ? " checked" : ""}> inches</label>
<label>Movements drawn <select id="magnification"><option value="">to suit</option>${MAGNIFICATIONS.map((m) => `<option value="${m}">× ${m}</option>`).join("")}</select></label>
</div>
${depth === undefined ? "" : SIDES}<div class="row screen">
<label>Show me <select id="example"><option value="">one thing wrong …</option>${exampleOptions(sliders, unit)}</select></label>
<button type="button" id="all-zero">Put all right</button>
<button type="button" id="print">Print</button>
</div>
${GROUPS.map((group) => groupOf(group, sliders, unit)).join("\n")}
<fieldset class="screen"><legend>Trim to fit</legend>
<p class="quiet">A piece that is too long is shortened at its end by small steps until nothing at its joints is pressed deeper than ${length(job.limits.snug)}. What is taken off too much stays open.</p>
<div class="row">
<label>Piece <select id="piece">${played.cell.pieces.map(({ name }) => `<option>${name}</option>`).join("")}<option value="all">all, as they are put in</option></select></label>
<label>by <select id="step">${STEPS.map((step) => `<option value="${step}" data-length="${step}"${step === 0.02 ? " selected" : ""}>${lengthText(step, unit)}</option>`).join("")}</select></label>
</div>
<div class="row">
<button type="button" id="trim-once">Trim one step</button>
<button type="button" id="trim-until" class="primary">Trim until it goes in</button>
<button type="button" id="untrim">Put back</button>
</div>
<p id="trimmed" role="status">Nothing has been trimmed.</p>
</fieldset>
</section>
<section id="joints" aria-label="Every joint">
<ul class="legend">${legend(job, unit)}</ul>
<table><caption>Gap at both ends of every joint<span id="side-shown">${depth === undefined ? "" : ", front"}</span></caption>
<thead><tr><th scope="col">joint</th><th scope="col">toe</th><th scope="col">heel</th></tr></thead>
<tbody id="rows">${jointRows(now.prediction, job, unit)}</tbody></table>
<p class="quiet">Worked out in exact order, as the library does; gaps taken as proportional to the errors would differ by up to <span id="order">${lengthText(now.prediction.firstOrderDifference, unit)}</span> here. ${depth === undefined ? "" : "Front is the side towards you; where a ramp leans, a joint may be tight there and open at the back. "}Toe: the end of a joint nearer the piece's point; heel: the end at its shoulder. A cell closes when no gap is over ${length(job.limits.gap)} and nothing is pressed deeper than ${length(job.limits.snug)}. Scatter from cut to cut is left out.</p>
</section>
</main>
<footer>
<h2>Before you cut or adjust</h2>
<ul>${CAUTIONS.map((caution) => `<li>${escapeHtml(caution)}</li>`).join("")}</ul>
</footer>`;
}

function groupOf(group: Slider["group"], sliders: readonly Slider[], unit: PlayJob["units"]): string {
  const own = sliders.filter((slider) => slider.group === group);
  if (own.length === 0) return "";
  return `<fieldset><legend>${group}</legend>
${own.map((slider) => sliderHtml(slider, unit)).join("\n")}
</fieldset>`;
}

function sliderHtml(slider: Slider, unit: PlayJob["units"]): string {
  const { id, label, most, step } = slider;
  const name = escapeHtml(label);
  const { short, words } = sliderTexts(slider, 0, unit);
  return `<div class="slider"><label for="${id}">${name}</label><output id="${id}-size" for="${id}">${short}</output><button type="button" id="${id}-zero" aria-label="${name}: set to 0">0</button><input type="range" id="${id}" min="${-most}" max="${most}" step="${step}" value="0" aria-valuetext="${words}" autocomplete="off"></div>`;
}

/** Every slider by itself, half way either way. */
function exampleOptions(sliders: readonly Slider[], unit: PlayJob["units"]): string {
  return GROUPS.map((group) => {
    const options = sliders
      .filter((slider) => slider.group === group)
      .flatMap((slider) =>
        [1, -1].map((sign) => {
          const value = sign * Number((slider.most / 2).toFixed(2));
          const { words } = sliderTexts(slider, value, unit);
          return `<option value="${slider.id} ${value}">${escapeHtml(slider.label)}: ${words}</option>`;
        }),
      );
    return `<optgroup label="${group}">${options.join("")}</optgroup>`;
  }).join("");
}

function legend(job: PlayJob, unit: PlayJob["units"]): string {
  const length = (mm: number): string => `<span data-length="${mm}">${lengthText(mm, unit)}</span>`;
  const entries: readonly (readonly [JointState, string])[] = [
    ["wide", `gap over ${length(job.limits.gap)}: solid`],
    ["open", `gap up to that: dashed rim`],
    ["closed", `closed to ${length(job.limits.snug)}: dark line`],
    ["pressed", `pressed deeper: crossed`],
  ];
  return entries.map(([state, text]) => `<li>${swatch(state)}${text}</li>`).join("");
}

function swatch(state: JointState): string {
  const { fill, stroke, dash } = JOINT_STYLE[state];
  const wood = `fill="${PALETTE.wood}" stroke="${PALETTE.woodEdge}"`;
  const rim = `stroke="${state === "closed" ? fill : stroke}" stroke-width="1.5"${dash.length > 0 ? ` stroke-dasharray="${dash.join(" ")}"` : ""}`;
  const more: Record<JointState, string> = {
    ...{ wide: "", open: "" },
    closed: `<path d="M16 1V15" stroke="${stroke}" stroke-width="2"/>`,
    pressed: `<path d="M12 4L20 12M12 12L20 4" stroke="#fff" stroke-width="2.5"/>`,
  };
  return `<svg viewBox="0 0 32 16" aria-hidden="true"><rect x="0.5" y="1" width="9" height="14" ${wood}/><rect x="22.5" y="1" width="9" height="14" ${wood}/><rect x="11" y="1" width="10" height="14" fill="${fill}" ${rim}/>${more[state]}</svg>`;
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
