import { at } from "../../../core/numeric/dense.js";
import type { Job } from "../../../model/job/job.js";
import { namesDrawing } from "../../../render/cell/names-drawing.js";
import { type Html, html, htmlPage, raw, tied } from "../../../render/html.js";
import { fittedLines, textWidth } from "../../../render/text-layout.js";
import type { CardSheet, SheetJig } from "./card-sheet.js";
import { DRAWING_WIDTH } from "./drawings.js";
import type { SheetLine } from "./sheet-lines.js";

const POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";
const TO_DO = new Set(["adjust", "not known: read first"]);

/**
 * The card as a separate page that prints on one side of a sheet: no scripts, no external resources, and all text from the job escaped.
 *
 * @param names a job whose joints are shown with names on further pages; without it there are no such pages
 *
 * @example
 * sheetHtml(cardSheet(job, null, "2000-01-01")).startsWith("<!doctype html>") // true
 */
export function sheetHtml(whole: CardSheet, names?: Job): string {
  const sheet = onOneSide(whole);
  const { title, date, cell, basis, jigs, cautions, notes, spareNotes, paper } = sheet;
  const body = html`<main>
<header><h1>${title}</h1>
<p>Set-up card of ${tied(`${date}. ${cell}. ${basis}`)}</p></header>
${jigs.map(jigHtml)}
${forecastHtml(sheet)}
<section class="care"><h2>Take care</h2><ul>${cautions.map((text) => html`<li>${text}</li>`)}</ul></section>
<p class="notes">${tied([...notes, ...spareNotes].join(" "))}</p>
${names === undefined ? "" : namesPages(names)}
</main>`;
  const style = sheetStyle(paper, sheetScale(sheet));
  return htmlPage({ title: `Set-up card: ${title}`, policy: POLICY, style, body });
}

/** Widths of the drawings of names on paper and on a desk, and on a phone, px. */
const NAMES = { wide: 560, narrow: 366 } as const;

/** Which joint is which, on the pages after the card: the cell and its pieces, then the benches. */
const namesPages = (job: Job): Html[] =>
  (job.setUps.length === 0 ? (["cell"] as const) : (["cell", "benches"] as const)).map((part) => {
    const drawn = (width: number): Html => raw(namesDrawing(job, { width, parts: [part] }).svg);
    return html`<section class="names"><div class="wide">${drawn(NAMES.wide)}</div><div class="narrow">${drawn(NAMES.narrow)}</div></section>
`;
  });

function jigHtml({ name, ramp, stops, toAMark }: SheetJig): Html {
  const marked =
    toAMark.length === 0 ? "" : html` <small>first ends, cut to a mark: ${toAMark.join(", ")}</small>`;
  return html`<section class="jig"><h2>${name}${marked}</h2>
${[ramp, ...stops].map(lineHtml)}</section>
`;
}

function lineHtml({ heading, verdict, state, toDo, drawing }: SheetLine): Html {
  const kind = TO_DO.has(verdict) ? "verdict do" : "verdict";
  const said = verdict === "" ? "" : html` <span class="${kind}">${verdict}</span>`;
  const boxes = toDo.map((text) => html`<li class="box">${withBlank(tied(text))}</li>`);
  const list = boxes.length === 0 ? "" : html`<ul>${boxes}</ul>`;
  return html`<div class="line">${drawing}<div><h3>${heading}${said}</h3><p>${tied(state)}</p>${list}</div></div>
`;
}

/** Adds a line to write on after a colon, never separated from the last words. */
function withBlank(text: string): Html | string {
  const [, before, last] = /^(.*?)((?:It reads|[^ ]+):)$/.exec(text) ?? [];
  if (before === undefined || last === undefined) return text;
  return html`${before}<span class="write">${last} <span class="blank"></span></span>`;
}

function forecastHtml({ forecast, forecastDoubt }: CardSheet): Html | string {
  if (forecast.length === 0) return "";
  const rows = forecast.map(
    ([what, before, after]) => html`<tr><th scope="row">${what}</th><td>${before}</td><td>${after}</td></tr>`,
  );
  return html`<table class="forecast"><thead><tr><th scope="col">What to expect of a cell</th><th scope="col">as it is</th><th scope="col">after the moves</th></tr></thead><tbody>${rows}</tbody></table>${forecastDoubt === "" ? "" : html`<p><strong>${forecastDoubt}</strong></p>`}`;
}

/**
 * Style of the printed card: black on white, on a sheet of half the printer's paper.
 *
 * @param scale factor by which the letters are made smaller so that everything fits
 */
export function sheetStyle(paper: "A5" | "half-letter", scale: number): string {
  const pt = (kind: keyof typeof LETTERS): string => `${Number((LETTERS[kind] * scale).toFixed(2))}pt`;
  const [width, height] = paper === "A5" ? ["148mm", "210mm"] : ["5.5in", "8.5in"];
  return `
:root { color-scheme: light; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: #fff; color: #000; font: ${pt("text")}/1.27 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
main { width: ${width}; min-height: ${height}; max-width: 100%; margin: 0 auto; padding: 7mm; }
p, ul, ol, h1, h2, h3, table { margin: 0; padding: 0; }
ul { list-style: none; }
h1 { font-size: ${pt("title")}; line-height: 1.15; overflow-wrap: anywhere; }
h2 { font-size: ${pt("jig")}; overflow-wrap: anywhere; }
h3 { font-size: inherit; overflow-wrap: anywhere; }
header { border-bottom: .5mm solid #000; padding-bottom: 1mm; }
.jig { border-bottom: .2mm solid #000; padding: 1.4mm 0 1mm; }
.jig > h2 small { font-weight: 400; font-size: ${pt("text")}; }
.line { display: flex; gap: 3mm; align-items: flex-start; break-inside: avoid; padding-top: .6mm; }
.line > svg { flex: none; display: block; }
.line > div { flex: 1; min-width: 0; overflow-wrap: anywhere; }
.verdict { font-weight: 400; }
.verdict.do { font-weight: 700; border: .25mm solid #000; padding: 0 .8mm; text-transform: uppercase; font-size: ${pt("notes")}; }
.box { position: relative; padding-left: 3.6mm; }
.box::before { content: ""; position: absolute; left: .2mm; top: .45mm; width: 2.2mm; height: 2.2mm; border: .25mm solid #000; }
.write { white-space: nowrap; }
.blank { display: inline-block; width: 15mm; border-bottom: .2mm solid #000; }
table { border-collapse: collapse; width: 100%; margin-top: 1.4mm; font-variant-numeric: tabular-nums; }
th, td { text-align: left; font-weight: 400; padding: .2mm 2mm .2mm 0; vertical-align: top; }
thead th { font-weight: 700; }
td, thead th + th { text-align: right; padding-right: 0; padding-left: 2mm; white-space: nowrap; }
.forecast { break-inside: avoid; }
.notes { font-size: ${pt("notes")}; padding-top: 1.2mm; }
.care { border: .4mm solid #000; padding: .8mm 1.6mm; margin-top: 1.4mm; break-inside: avoid; font-size: ${pt("care")}; }
.care h2 { font-size: ${pt("text")}; }
.care li { padding-left: 2.4mm; text-indent: -2.4mm; }
.care li::before { content: "– "; }
${drawingStyle(".line ")}.names { break-before: page; margin-top: 6mm; }
.names svg { display: block; width: 100%; height: auto; }
.names .narrow { display: none; }
@page { size: ${width} ${height}; margin: 7mm; }
@media print { .names { margin: 0; } main { width: auto; min-height: 0; padding: 0 .3mm 0 0; } }
@media screen { main { outline: .2mm solid #888; } }
@media screen and (max-width: 460px) { body { font-size: 10.5pt; } h1 { font-size: 14pt; } h2, .care h2 { font-size: 12pt; } .verdict.do { font-size: inherit; } .care, .notes, .jig > h2 small { font-size: 10.5pt; } main { width: auto; padding: 4mm; outline: 0; } .line { flex-direction: column; gap: 1mm; } .line > svg { width: 100%; height: auto; } .names .wide { display: none; } .names .narrow { display: block; } td, thead th + th { white-space: normal; } }
`;
}

/** Style of the card's drawings, on the card and elsewhere; `within` is a selector followed by a space, or empty. */
export const drawingStyle = (within: string): string =>
  `${within}svg text { font: 2.5px "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; fill: #000; }
${within}svg .bed { fill: #fff; stroke: #000; stroke-width: .15; stroke-dasharray: 1 .6; }
${within}svg .bar { fill: #bbb; stroke: #000; stroke-width: .25; }
${within}svg .leaf { fill: #000; stroke: #fff; stroke-width: .1; }
${within}svg .strip { fill: #eee; stroke: #000; stroke-width: .2; }
${within}svg .waste { fill: none; stroke: #000; stroke-width: .15; stroke-dasharray: .8 .5; }
${within}svg .blade, ${within}svg .cut { stroke: #000; stroke-width: .6; }
${within}svg .thin { fill: none; stroke: #000; stroke-width: .15; }
${within}svg .dashed { stroke: #000; stroke-width: .15; stroke-dasharray: 1.2 .6; }
${within}svg .ghost { stroke: #000; stroke-width: .3; stroke-dasharray: .8 .5; }
${within}svg .move { stroke: #000; stroke-width: .4; }
${within}svg .head, ${within}svg .ink { fill: #000; }
`;

/** Room within the sheet's margins, mm. */
const ROOM = {
  A5: { width: 134, height: 196 },
  "half-letter": { width: 125.7, height: 201.9 },
} as const;

/** Sizes of letters, pt, and their leading; the style sheet uses the same. */
export const LETTERS = { title: 11.5, jig: 8.6, text: 7.4, care: 6.9, notes: 6.8 } as const;
const LEADING = 1.27;
const MM_A_POINT = 25.4 / 72;
/** Minimum size of letters: 6 pt. */
const SCALES = [1, 0.96, 0.92, 0.88, 0.84, 0.81] as const;
/** Safety margin, mm: the estimated height was up to 2.4 mm too small on six cards, and more on the bench page; letters differ between machines. */
const SPARE = 4;
/** Factor on the letter widths that charts assume: those are upper bounds, so that no letter crosses an edge, whereas here an overestimate would waste lines. */
const NARROWER = 0.9;
/** Between a drawing and the text beside it, mm. */
const GAP = 3;
/** Widths of a box to tick (or of the dash before a caution) and of the line to write on, mm. */
const INDENT = 3.6;
const BLANK = "_".repeat(10);

/** The card without those of its last optional notes that do not fit on one side in the smallest letters. */
export function onOneSide(sheet: CardSheet): CardSheet {
  const smallest = at(SCALES, SCALES.length - 1);
  const room = ROOM[sheet.paper].height - SPARE;
  let shown = sheet;
  while (shown.spareNotes.length > 0 && sheetHeight(shown, smallest) > room)
    shown = { ...shown, spareNotes: shown.spareNotes.slice(0, -1) };
  return shown;
}

/** Factor by which the letters of a card are made smaller so that it fits on one side; 1 if there is room. */
export function sheetScale(sheet: CardSheet): number {
  const { height } = ROOM[sheet.paper];
  return SCALES.find((scale) => sheetHeight(sheet, scale) <= height - SPARE) ?? at(SCALES, SCALES.length - 1);
}

/** Estimated height of a card, mm, from approximate widths of letters. */
export function sheetHeight(sheet: CardSheet, scale: number): number {
  const { width } = ROOM[sheet.paper];
  const tall = (text: string, room: number, points: number): number =>
    fittedLines(text, room, points * scale * MM_A_POINT, measured).length *
    points *
    scale *
    MM_A_POINT *
    LEADING;
  const row = LETTERS.text * scale * MM_A_POINT * LEADING;
  const beside = width - DRAWING_WIDTH - GAP;
  const line = ({ heading, verdict, state, toDo, drawing }: SheetLine): number => {
    const boxes = toDo.map((text) =>
      tall(text.endsWith(":") ? `${text} ${BLANK}` : text, beside - INDENT, LETTERS.text),
    );
    const words = [`${heading} ${verdict}`, state].map((text) => tall(text, beside, LETTERS.text));
    return 0.6 + Math.max(drawingHeight(drawing), sum([...words, ...boxes]));
  };
  const jig = ({ name, toAMark, ramp, stops }: SheetJig): number => {
    const marked = toAMark.length === 0 ? "" : `first ends, cut to a mark: ${toAMark.join(", ")}`;
    return 2.6 + tall(`${name} ${marked}`, width, LETTERS.jig) + sum([ramp, ...stops].map(line));
  };
  const { title, date, cell, basis, forecast, forecastDoubt, cautions, notes } = sheet;
  return sum([
    1.5 + tall(title, width, LETTERS.title),
    tall(`Set-up card of ${date}. ${cell}. ${basis}`, width, LETTERS.text),
    ...sheet.jigs.map(jig),
    forecast.length === 0 ? 0 : 1.4 + (forecast.length + 1) * (row + 0.4),
    forecastDoubt === "" ? 0 : tall(forecastDoubt, width, LETTERS.text),
    3.8 + row + sum(cautions.map((text) => tall(text, width - 6.4, LETTERS.care))),
    1.2 + tall([...notes, ...sheet.spareNotes].join(" "), width, LETTERS.notes),
  ]);
}

const measured = (text: string, size: number): number => NARROWER * textWidth(text, size);

const sum = (numbers: readonly number[]): number => numbers.reduce((a, b) => a + b, 0);

const drawingHeight = (svg: Html): number => Number(/\sheight="([\d.]+)mm"/.exec(String(svg))?.[1] ?? 0);
