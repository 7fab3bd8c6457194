import { shortJointNames } from "../../model/cell/joint-names.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import { isAngleReading, type Reading } from "../../model/readings.js";
import { BATCH_THICKNESS } from "../../model/source-id.js";
import { namesDrawing } from "../../render/cell/names-drawing.js";
import { type Html, html, htmlPage, raw, tied } from "../../render/html.js";
import { angleText, pieceLength, quantityText, smallLength, smallUnit } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";
import { hiddenFaults, type Mystery } from "./make-mystery.js";
import { wrongText } from "./mystery-job.js";
import { BUDGET, priceOf } from "./mystery-plan.js";

const POLICY = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'";

/** The sheets of a class on one page, each beginning a sheet of paper: what is read, room for an answer, and the names on a drawing. */
export const studentSheets = (mysteries: readonly Mystery[]): string =>
  htmlPage({
    title: "Mysteries: sheets for the class (invented)",
    policy: POLICY,
    style: classSheetStyle(mysteries[0]?.job.units ?? "mm"),
    body: html`<main>${mysteries.map(sheetOf)}</main>`,
  });

function sheetOf(mystery: Mystery): Html {
  const { key, job, readings } = mystery;
  const asked = `${wrongText(key.faults)} with these jigs, stops or strips; all else is right, but for the scatter from cut to cut. Say which, by how much, and which way.`;
  return html`<article>
<header><h1>Mystery ${String(key.seed)}</h1><p class="name">Name <span class="line"></span></p></header>
<p>${asked} The shop is invented.</p>
${shopTable(job)}
${key.level === "budget" ? menuOf(readings, job) : readingsOf(readings, job)}
${answerForm(mystery)}
${namesOf(mystery)}
</article>`;
}

/** The names of the cell, and of the benches where a reading is taken on one. */
function namesOf({ job, readings }: Mystery): Html[] {
  const onBench = readings.some(({ bench }) => bench !== "none" && bench !== "cell");
  return (onBench ? (["cell", "benches"] as const) : (["cell"] as const)).map((part) => {
    const drawn = (width: number): Html => raw(namesDrawing(job, { width, parts: [part] }).svg);
    return html`<section class="names"><div class="wide">${drawn(620)}</div><div class="narrow">${drawn(352)}</div></section>
`;
  });
}

function shopTable(job: Job): Html {
  const { opening, strip, jigs, setUps, instruments, units, batchThickness, betweenCutSd: scatter } = job;
  const lines = jigs.map(({ name, ramp, priorSd, fence }) => {
    const own = setUps.filter(({ jig }) => jig === name);
    const stops = own.map(({ name: setUp, stop }) =>
      stop ? `${setUp} (stop trusted to ± ${smallLength(stop.priorSd, units)})` : `${setUp} (to a mark)`,
    );
    const bears =
      fence === "centred" ? "strip held in the middle" : `fence on the ${fence.replace("-", " ")}`;
    return html`<tr><th scope="row">${name}</th><td>${angleText(ramp)}, trusted to ± ${angleText(priorSd)}; ${bears}</td><td>${stops.join(", ")}</td></tr>`;
  });
  const tools = instruments.map(({ name, repeatability, reads, leaves }) => {
    const text = (value: number): string =>
      reads.some(isAngleReading) ? angleText(value) : smallLength(value, units);
    const told =
      leaves.length > 0
        ? `; leaves ${leaves.map((leaf) => smallNumber(leaf, job)).join(", ")} ${smallUnit(units)}`
        : "";
    return `${name} (repeats to ± ${text(repeatability)}${told})`;
  });
  const { angle, length, thickness } = scatter;
  const kinds = new Map(job.arrangement.pieces.map((piece) => [piece.kind, piece.length]));
  const drawn = [...kinds].map(([kind, mm]) => `${kind} ${lengthText(mm, "length", job)}`);
  return html`<table class="shop"><thead><tr><th scope="col">jig</th><th scope="col">label</th><th scope="col">what is cut on it</th></tr></thead><tbody>${lines}</tbody></table>
<p>${tied(`Opening ${pieceLength(opening, units)}, strips ${pieceLength(strip, units)} (the batch trusted to ± ${smallLength(batchThickness, units)}). From cut to cut: angle ± ${angleText(angle)}, length ± ${smallLength(length, units)}, thickness ± ${smallLength(thickness, units)}. Each ± holds two times in three.`)}</p>
<p>${tied(`Drawn lengths, tip to tip: ${drawn.join(", ")}.`)}</p>
<p>${tied(`Instruments: ${tools.join("; ")}.`)}</p>`;
}

const smallNumber = (mm: number, { units }: Pick<Job, "units">): string =>
  quantityText(mm, smallUnit(units), { withUnit: false });

/** A reading as it stands in a cell of a table. */
export function shownText({ value, low, high, what }: Reading, job: Pick<Job, "units">): string {
  if (value !== null) return isAngleReading(what) ? angleText(value) : lengthText(value, what, job);
  const ends = [low ?? Number.NEGATIVE_INFINITY, high ?? Number.POSITIVE_INFINITY];
  const [from = 0, to = 0] = ends;
  if (!Number.isFinite(from)) return `< ${smallNumber(to, job)}`;
  if (!Number.isFinite(to)) return `> ${smallNumber(from, job)}`;
  return `${smallNumber(from, job)} – ${smallNumber(to, job)}`;
}

/** Lengths to what a caliper shows: hundredths of a mm, half thousandths of an inch. */
function lengthText(mm: number, what: Reading["what"], { units }: Pick<Job, "units">): string {
  if (what === "gap") return smallLength(mm, units);
  return units === "mm" ? quantityText(mm, "mm") : quantityText(mm, "in", { digits: 4 });
}

function readingsOf(readings: readonly Reading[], job: Job): Html[] {
  const single = readings.filter(({ what }) => what !== "gap");
  const gaps = readings.filter(({ what }) => what === "gap");
  const benches = [...new Set(gaps.map(({ bench }) => bench))];
  return [
    ...(single.length > 0 ? [singleTable(single, job)] : []),
    ...benches.map((bench) =>
      gapTable(
        gaps.filter((one) => one.bench === bench),
        bench,
        job,
      ),
    ),
  ];
}

function singleTable(readings: readonly Reading[], job: Job): Html {
  const rows = [
    ...new Set(readings.map(({ setUp, subject, what }) => `${setUp ?? ""}\t${subject}\t${what}`)),
  ];
  const trials = (row: string): readonly Reading[] =>
    readings.filter(({ setUp, subject, what }) => `${setUp ?? ""}\t${subject}\t${what}` === row);
  const most = Math.max(...rows.map((row) => trials(row).length));
  const lines = rows.map((row) => {
    const own = trials(row);
    const [setUp = "", subject = "", what = ""] = row.split("\t");
    const cells = Array.from({ length: most }, (_, k) => {
      const one = own[k];
      return html`<td>${one ? html`<small>${one.trial}</small> ${tied(shownText(one, job))}` : ""}</td>`;
    });
    return html`<tr><th scope="row">${what} of ${subject}${setUp === "" ? "" : `, cut at ${setUp}`}</th>${cells}</tr>`;
  });
  return html`<table class="readings"><caption>Pieces measured by themselves (the small letters name the trial piece)</caption><tbody>${lines}</tbody></table>`;
}

function gapTable(readings: readonly Reading[], bench: string, job: Job): Html {
  const nameOf = jointNamer(job);
  const columns = [...new Set(readings.map(({ trial, at: end }) => `${trial}\t${end ?? ""}`))];
  const rows = [...new Set(readings.map(({ subject, setUp }) => `${subject}\t${setUp ?? ""}`))];
  const head = columns.map((column) => html`<th scope="col">${column.replace("\t", " ")}</th>`);
  const lines = rows.map((row) => {
    const [subject = "", setUp = ""] = row.split("\t");
    const cells = columns.map((column) => {
      const [trial, end = ""] = column.split("\t");
      const one = readings.find(
        (reading) =>
          reading.subject === subject &&
          reading.trial === trial &&
          (reading.at ?? "") === end &&
          (reading.setUp ?? "") === setUp,
      );
      return html`<td>${one ? tied(shownText(one, job)) : ""}</td>`;
    });
    return html`<tr><th scope="row">${nameOf(subject)}${setUp === "" ? "" : `, cut at ${setUp}`}</th>${cells}</tr>`;
  });
  const where = bench === "cell" ? "Gaps of a whole cell" : `Gaps on the bench ${bench}`;
  const caption = `${where}, in ${smallUnit(job.units)}: between the thickest leaf that goes in and the thinnest that does not; < where none goes in`;
  return html`<table class="readings"><caption>${caption}</caption><thead><tr><th scope="col">joint</th>${head}</tr></thead><tbody>${lines}</tbody></table>`;
}

/** Names joints of the cell as the drawing does, and one of a bench by its cut. */
function jointNamer(job: Job): (joint: string) => string {
  const names = shortJointNames(jobCell(job));
  return (joint) => names.get(joint) ?? joint.split("|")[0]?.split(".")[1] ?? joint;
}

function menuOf(readings: readonly Reading[], job: Job): Html {
  const nameOf = jointNamer(job);
  const kinds = [...new Set(readings.map(({ what, bench }) => `${what}\t${bench}`))];
  const lines = kinds.map((kind) => {
    const [what = "", bench = ""] = kind.split("\t");
    const own = readings.filter((one) => one.what === what && one.bench === bench);
    const where =
      what === "gap"
        ? bench === "cell"
          ? "gap in the whole cell"
          : `gap on the bench ${bench}`
        : `${what} of a piece by itself`;
    const list = own
      .map(
        ({ id, trial, subject, at: end }) =>
          `${id} (${[trial, nameOf(subject ?? ""), end === "widest" ? "" : end].filter(Boolean).join(" ")})`,
      )
      .join(", ");
    const [first] = own;
    return html`<tr><th scope="row">${where}</th><td>${first ? String(priceOf(first)) : ""}</td><td>${list}</td><td class="blank"></td></tr>`;
  });
  return html`<table class="readings menu"><caption>You have ${String(BUDGET)} points to spend on readings. Ask for them by their numbers, a few at a time, and write down what they show (gaps in ${smallUnit(job.units)}).</caption>
<thead><tr><th scope="col">reading</th><th scope="col">points each</th><th scope="col">numbers</th><th scope="col">what they show</th></tr></thead><tbody>${lines}</tbody></table>`;
}

function answerForm({ key, job }: Mystery): Html {
  const causes = [
    ...job.jigs.map(({ name }) => `${sourceText({ kind: "ramp", of: name })}`),
    ...job.setUps.flatMap(({ name, stop }) => (stop ? [sourceText({ kind: "stop", of: name })] : [])),
    sourceText(BATCH_THICKNESS),
  ];
  const blanks = Array.from(
    { length: hiddenFaults(key).length },
    (_, k) =>
      html`<tr><td>${String(k + 1)}</td><td class="blank"></td><td class="blank"></td><td class="blank"></td></tr>`,
  );
  return html`<table class="answer"><caption>Your answer. Causes: ${causes.join(", ")}. A ramp in degrees, + where it cuts a sharper point than its label; a stop in ${smallUnit(job.units)}, + for longer pieces; the thickness in ${smallUnit(job.units)}, + for thicker strips.</caption>
<thead><tr><th scope="col"></th><th scope="col">cause</th><th scope="col">size, with its sign</th><th scope="col">how you know</th></tr></thead><tbody>${blanks}</tbody></table>`;
}

/** Style of the sheets: black on white, on A4 or letter. */
export const classSheetStyle = (units: Job["units"]): string => `
:root { color-scheme: light; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: #fff; color: #000; font: 9.5pt/1.3 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
main { max-width: 190mm; margin: 0 auto; padding: 8mm; }
article + article { break-before: page; border-top: .6mm solid #000; margin-top: 8mm; padding-top: 6mm; }
h1, p { margin: 0; } h1 { font-size: 14pt; } article > p { padding: .8mm 0; overflow-wrap: anywhere; }
header { display: flex; flex-wrap: wrap; justify-content: space-between; gap: 2mm 6mm; align-items: baseline; border-bottom: .5mm solid #000; padding-bottom: 1.5mm; margin-bottom: 1.5mm; }
.line { display: inline-block; width: 60mm; max-width: 60vw; border-bottom: .2mm solid #000; }
table { border-collapse: collapse; width: 100%; margin: 2mm 0; font-variant-numeric: tabular-nums; }
caption { text-align: left; font-weight: 700; padding-bottom: .8mm; }
th, td { text-align: left; vertical-align: top; padding: .5mm 1.5mm; border: .2mm solid #888; font-weight: 400; overflow-wrap: break-word; }
.shop tbody th { white-space: nowrap; }
thead th { font-weight: 700; } .readings td { white-space: nowrap; } .menu td { white-space: normal; }
.answer td { height: 9mm; } .answer td:first-child { width: 7mm; } .menu .blank { min-width: 32mm; }
tr, .answer, .readings, .names { break-inside: avoid; } small { color: #444; }
.names { margin-top: 4mm; } .names svg { display: block; max-width: 100%; height: auto; } .names .narrow { display: none; }
@page { size: ${units === "mm" ? "A4" : "letter"}; margin: 12mm; }
@media print { main { max-width: none; padding: 0; } article + article { border-top: 0; margin: 0; padding: 0; } .names { break-before: page; margin: 0; } .names svg { max-height: ${units === "mm" ? 268 : 250}mm; width: auto; } }
@media screen and (max-width: 500px) { body { font-size: 11pt; } main { padding: 4mm; } .names .wide { display: none; } .names .narrow { display: block; } table { display: block; overflow-x: auto; } caption { display: block; position: sticky; left: 0; max-width: calc(100vw - 8mm); }  }
`;
