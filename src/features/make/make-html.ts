import { element, type Html, html } from "../../render/html.js";
import { printDrawing, printList, printPage, printTable } from "../../render/page/print-page.js";
import { smallLength, stopLength } from "../../render/shop-numbers.js";
import { gridParts } from "../cutlist/index.js";
import { jigDrawing } from "./jig-drawing.js";
import type { JigPlan } from "./jig-plan.js";
import { accuracyText, jigSizes } from "./jig-sizes.js";
import { lapDrawing } from "./lap-drawing.js";
import { sledSteps, sumText } from "./lap-sentences.js";
import { jigNotes, LAPS_MISSING } from "./make-text.js";
import type { Making } from "./making.js";
import { gridDrawing, stepDrawing } from "./pictures.js";
import { FINISHING, FINISHING_MARK, gridChecks, stepChecks, stepTitle } from "./step-sentences.js";

/** A cell or the grid is no wider than this on a desk, px. */
const STEP_WIDTH = 460;

/**
 * Jigs, sled, order of fitting and finishing as one page to print: no scripts, nothing loaded, every text of the job inert.
 *
 * @param date printed as it is
 */
export function makeHtml(making: Making, date: string): string {
  const { job, needed, steps, laps } = making;
  const panel = gridParts(job) !== null;
  return printPage({
    title: `To make: ${job.title}`,
    date,
    units: job.units,
    body: html`<nav><p>${contents(making)}</p></nav>
${making.jigs.map((plan) => jigHtml(plan, making))}
<section class="sheet" id="laps"><h2>The laps of the grid</h2>
${
  laps === null
    ? html`<p>${LAPS_MISSING(job)}</p>`
    : html`${printDrawing((width) => lapDrawing(laps, job, { width }))}
${printList(sledSteps(laps, job, needed), true)}
${printList(laps.strips.map((plan) => `Sum of ${plan.name}: ${sumText(plan, job.units)}.`))}`
}</section>
<section class="sheet" id="order"><h2>The order of fitting</h2>
<h3>First the grid</h3>
${printDrawing((width) => gridDrawing(job, panel, { width: Math.min(width, STEP_WIDTH) }))}
${printList(gridChecks(job, needed), true)}</section>
${steps.map(
  (step) => html`<section class="sheet"><h3>${stepTitle(step)}</h3>
${printDrawing((width) => stepDrawing(step, job, { width: Math.min(width, STEP_WIDTH) }))}
${printList(stepChecks(step, job), true)}</section>
`,
)}<section class="sheet" id="glue"><h2>Glue and sanding</h2><p>${FINISHING_MARK}</p>
${printList(FINISHING)}</section>`,
  });
}

const contents = ({ jigs }: Making): Html[] =>
  [
    ...jigs.map(({ name }, i) => [`jig-${i}`, `Jig ${name}`] as const),
    ...([
      ["laps", "The laps of the grid"],
      ["order", "The order of fitting"],
      ["glue", "Glue and sanding"],
    ] as const),
  ].map(([id, text], i) => html`${i === 0 ? "" : " · "}${element("a", { href: `#${id}` }, text)}`);

function jigHtml(plan: JigPlan, { job, jigs }: Making): Html {
  const { units } = job;
  const small = (mm: number): string => smallLength(mm, units);
  const sizes = jigSizes(plan, job).map(({ letter, size, what, care }) => [letter, size, what, care]);
  const sticks = plan.stops.map((stop) => [
    stop.setUp,
    stop.cut.group,
    stopLength(stop.stick, units),
    stopLength(stop.setting, units),
    accuracyText(stop.accuracy, ["longer", "shorter"], small),
    stop.step === null ? "locked" : small(stop.step),
  ]);
  return html`<section class="sheet" id="jig-${jigs.indexOf(plan)}"><h2>Jig ${plan.name}</h2>
${printDrawing((width) => jigDrawing(plan, job, { width, list: false }))}
${printTable({ title: "", heading: ["size", "length", "of what", "how exact"], rows: sizes, right: [1] })}
${
  sticks.length === 0
    ? ""
    : printTable({
        title: "",
        heading: ["stop", "cuts", "stick", "may be off by itself", "step"],
        rows: sticks,
        right: [],
      })
}${printList(jigNotes(plan, job))}</section>
`;
}
