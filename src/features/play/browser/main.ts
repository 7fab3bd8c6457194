import { at } from "../../../core/numeric/dense.js";
import type { LengthUnit } from "../../../core/quantity/index.js";
import type { PanelSide } from "../../../model/cell/cell.js";
import { cellSvg } from "../cell-svg.js";
import {
  type Played,
  play,
  playCell,
  type Trimmed,
  type Trims,
  trimInTurn,
  trimPiece,
} from "../play-cell.js";
import { type PlayJob, sizeOf, slidersOf } from "../play-job.js";
import { closes, jointRows, lengthText, sizeText, sliderTexts, verdictText } from "../play-text.js";

const job = JSON.parse(element("job").textContent ?? "") as PlayJob;
const cell = playCell(job);
const sliders = slidersOf(job);
const inputs = sliders.map(({ id }) => element<HTMLInputElement>(id));
const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };

let unit: LengthUnit = job.units;
let trims: Trims = {};
/** The side drawn and listed of a cell with a depth. */
let side: PanelSide = "front";
/** What a screen reader is told waits until the sliders have stood still for this long, ms. */
const QUIET = 500;
let waiting: ReturnType<typeof setTimeout> | undefined;

const values = (): number[] => inputs.map(({ value }) => Number(value));
const sizes = (): number[] => values().map((value, i) => sizeOf(at(sliders, i), value));

function update(): void {
  showSliders();
  let played: Played;
  try {
    played = play(cell, sizes(), trims);
  } catch (error) {
    element("verdict").textContent = error instanceof Error ? error.message : String(error);
    element("cell").classList.add("stale");
    return;
  }
  element("cell").classList.remove("stale");
  show(played);
}

function showSliders(): void {
  for (const [i, slider] of sliders.entries()) {
    const { short, words } = sliderTexts(slider, Number(at(inputs, i).value), unit);
    element(`${slider.id}-size`).textContent = short;
    at(inputs, i).setAttribute("aria-valuetext", words);
  }
}

const deep = cell.cell.depth !== undefined;

function show({ errors, prediction }: Played): void {
  const chosen = element<HTMLSelectElement>("magnification").value;
  const { inside, magnification } = cellSvg(
    cell.cell,
    { errors, prediction },
    { ...limits, unit, side, magnification: chosen === "" ? null : Number(chosen) },
  );
  const said = verdictText(prediction, job, unit);
  const svg = element<SVGSVGElement>("cell");
  element("drawing").innerHTML = String(inside);
  element("cell-desc").textContent = `${said} Movements are drawn ${magnification} times as large.`;
  svg.dataset.widestGap = String(prediction.widestGap);
  svg.dataset.deepestPress = String(prediction.deepestPress);
  element("drawn").textContent =
    `${deep ? `${side === "front" ? "the front" : "the back, seen through"}; ` : ""}pieces to scale, movements drawn × ${magnification}`;
  const good = closes(prediction, job);
  element("verdict").textContent = said;
  element("verdict").className = good ? "good" : "poor";
  element("rows").innerHTML = String(jointRows(prediction, job, unit, side));
  element("side-shown").textContent = deep ? `, ${side}` : "";
  element("order").textContent = lengthText(prediction.firstOrderDifference, unit);
  clearTimeout(waiting);
  waiting = setTimeout(() => {
    element("live").textContent = said;
  }, QUIET);
}

function showUnits(): void {
  for (const shown of document.querySelectorAll<HTMLElement>("[data-size]"))
    shown.textContent = sizeText(Number(shown.dataset.size), unit);
  for (const shown of document.querySelectorAll<HTMLElement>("[data-length]"))
    shown.textContent = lengthText(Number(shown.dataset.length), unit);
}

/** Every piece that has been trimmed, and by how much. */
function trimmedText(): string {
  const taken = Object.entries(trims).filter(([, mm]) => mm > 0);
  if (taken.length === 0) return "Nothing has been trimmed.";
  return `Trimmed: ${taken.map(([piece, mm]) => `${piece} ${lengthText(mm, unit)}`).join(", ")}.`;
}

function trim(most?: number): void {
  const piece = element<HTMLSelectElement>("piece").value;
  const step = Number(element<HTMLSelectElement>("step").value);
  let done: Trimmed;
  try {
    done =
      piece === "all"
        ? trimInTurn(cell, sizes(), trims, step)
        : trimPiece(cell, sizes(), trims, piece, step, most);
  } catch (error) {
    element("trimmed").textContent = error instanceof Error ? error.message : String(error);
    return;
  }
  trims = done.trims;
  const strokes = done.steps === 1 ? "One step taken off." : `${done.steps} steps taken off.`;
  const press = lengthText(done.press, unit);
  const outcome = done.goesIn
    ? `It goes in: nothing is pressed deeper than ${press}.`
    : `It does not go in yet: pressed ${press}.`;
  update();
  element("trimmed").textContent =
    `${done.steps === 0 ? "No need to trim." : strokes} ${outcome} ${trimmedText()}`;
}

function setSliders(wanted: (i: number) => number): void {
  for (const [i, input] of inputs.entries()) input.value = String(wanted(i));
  update();
}

for (const input of inputs) input.addEventListener("input", update);
for (const [i, { id }] of sliders.entries()) {
  element(`${id}-zero`).addEventListener("click", () => {
    at(inputs, i).value = "0";
    update();
  });
}
for (const choice of document.querySelectorAll<HTMLInputElement>('input[name="unit"]')) {
  choice.checked = choice.value === unit;
  choice.addEventListener("change", () => {
    unit = choice.value as LengthUnit;
    showUnits();
    update();
    element("trimmed").textContent = trimmedText();
  });
}
for (const choice of document.querySelectorAll<HTMLInputElement>('input[name="side"]')) {
  choice.checked = choice.value === side;
  choice.addEventListener("change", () => {
    side = choice.value as PanelSide;
    update();
  });
}
element("magnification").addEventListener("change", update);
element("example").addEventListener("change", () => {
  const [id, value] = element<HTMLSelectElement>("example").value.split(" ");
  trims = {};
  element("trimmed").textContent = trimmedText();
  setSliders((i) => (at(sliders, i).id === id ? Number(value) : 0));
});
element("trim-once").addEventListener("click", () => trim(1));
element("trim-until").addEventListener("click", () => trim());
element("untrim").addEventListener("click", () => {
  trims = {};
  update();
  element("trimmed").textContent = trimmedText();
});
element("all-zero").addEventListener("click", () => {
  trims = {};
  element<HTMLSelectElement>("example").selectedIndex = 0;
  element("trimmed").textContent = trimmedText();
  setSliders(() => 0);
});
element("print").addEventListener("click", () => window.print());

showUnits();
update();

/** The element of the page with this id; the page is written with it. */
function element<T extends Element = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`The page has no element “${id}”.`);
  return found as Element as T;
}
