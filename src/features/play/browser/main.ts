import { at } from "../../../core/numeric/dense.js";
import type { LengthUnit } from "../../../core/quantity/index.js";
import type { PanelSide } from "../../../model/cell/cell.js";
import { commonMagnification } from "../../../render/cell/cell-drawing.js";
import { cellSvg } from "../cell-svg.js";
import { type Challenge, isMove, sizesWith, standingOf } from "../challenges.js";
import {
  MAGNIFICATIONS,
  type Played,
  play,
  playCell,
  type Trimmed,
  trimInTurn,
  trimPiece,
} from "../play-cell.js";
import { type PlayJob, scaleOf, slidersOf } from "../play-job.js";
import {
  type CellState,
  firstState,
  nothingOff,
  type PlayNames,
  type PlayState,
  readAddress,
  writeAddress,
} from "../play-state.js";
import {
  closes,
  jointRows,
  lengthText,
  sizeText,
  sliderTexts,
  typedSize,
  verdictText,
} from "../play-text.js";

const job = JSON.parse(element("job").textContent ?? "") as PlayJob;
const challenges = JSON.parse(element("challenges").textContent ?? "") as Challenge[];
const cell = playCell(job);
const sliders = slidersOf(job);
const inputs = sliders.map(({ id }) => element<HTMLInputElement>(id));
const fields = sliders.map(({ id }) => element<HTMLInputElement>(`${id}-size`));
const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
const deep = cell.cell.depth !== undefined;
const names: PlayNames = {
  units: job.units,
  sliders,
  magnifications: MAGNIFICATIONS,
  challenges: challenges.length,
  pieces: cell.cell.pieces.map(({ name }) => name),
};

let state: PlayState = firstState(names);
/** Whether the faults of the challenge are shown. */
let revealed = false;
/** What a screen reader is told waits until the sliders have stood still for this long, ms. */
const QUIET = 500;
let waiting: ReturnType<typeof setTimeout> | undefined;

const active = (): CellState => state.cells[state.active] ?? state.cells[0];
const challenge = (): Challenge | null =>
  state.challenge === null ? null : (challenges[state.challenge] ?? null);
const sizesOf = ({ values }: CellState): number[] => sizesWith(sliders, values, challenge());

/** The active cell with something changed, and the page after it. */
function change(change: Partial<CellState>): void {
  const changed = { ...active(), ...change };
  const [first, second] = state.cells;
  state = {
    ...state,
    cells: second === undefined ? [changed] : state.active === 0 ? [changed, second] : [first, changed],
  };
  update();
}

function setValue(i: number, value: number): void {
  change({ values: active().values.map((old, k) => (k === i ? value : old)) });
}

function update(): void {
  showControls();
  let played: Played[];
  try {
    played = state.cells.map((one) => play(cell, sizesOf(one), one.trims));
  } catch (error) {
    element(state.active === 0 ? "verdict" : "verdict-b").textContent = textOf(error);
    element("pictures").classList.add("stale");
    return;
  }
  element("pictures").classList.remove("stale");
  show(played);
  keepAddress();
}

const textOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

/** Sliders, fields, choices and the standing of the challenge as the state has them. */
function showControls(): void {
  const { unit, side, magnification, cells } = state;
  for (const [i, slider] of sliders.entries()) {
    const value = at(active().values, i);
    const { short, words } = sliderTexts(slider, value, unit);
    const { most, step, size } = scaleOf(slider, unit);
    const [input, field] = [at(inputs, i), at(fields, i)];
    Object.assign(input, { min: String(-most), max: String(most), step: String(step) });
    input.value = String(Number((value / size).toFixed(6)));
    input.dataset.value = String(value);
    input.setAttribute("aria-valuetext", words);
    if (document.activeElement !== field || !field.classList.contains("typing")) field.value = short;
  }
  for (const [name, chosen] of [
    ["unit", unit],
    ["side", side],
    ["active", String(state.active)],
  ] as const)
    for (const choice of document.querySelectorAll<HTMLInputElement>(`input[name="${name}"]`))
      choice.checked = choice.value === chosen;
  element<HTMLSelectElement>("magnification").value = magnification === null ? "" : String(magnification);
  const two = cells.length === 2;
  element<HTMLInputElement>("two").checked = two;
  element("which").hidden = !two;
  element("trimmed").textContent = trimmedText();
}

function show(played: readonly Played[]): void {
  const { unit, side, magnification: chosen } = state;
  const drawn = played.map(({ errors, prediction }) => ({ cell: cell.cell, errors, prediction }));
  // Both at one magnification, or they could not be compared.
  const magnification = chosen ?? commonMagnification(drawn, limits);
  for (const [c, one] of played.entries()) {
    const end = c === 0 ? "" : "-b";
    const { inside } = cellSvg(cell.cell, one, { ...limits, unit, side, magnification });
    const said = verdictText(one.prediction, cell, unit);
    element(`drawing${end}`).innerHTML = String(inside);
    element(`cell${end}-desc`).textContent = `${said} Movements are drawn ${magnification} times as large.`;
    const svg = element<SVGSVGElement>(`cell${end}`);
    svg.dataset.widestGap = String(one.prediction.widestGap);
    svg.dataset.deepestPress = String(one.prediction.deepestPress);
    svg.classList.toggle("moves", c === state.active);
    element(`verdict${end}`).textContent =
      played.length === 1 ? said : `${c === 0 ? "First" : "Second"}: ${said}`;
    element(`verdict${end}`).className = closes(one.prediction, job) ? "good" : "poor";
  }
  const two = played.length === 2;
  element("pictures").classList.toggle("two", two);
  element("cell-b").toggleAttribute("hidden", !two);
  element("verdict-b").hidden = !two;
  const { prediction } = at(played, state.active);
  element("drawn").textContent =
    `${deep ? `${side === "front" ? "the front" : "the back, seen through"}; ` : ""}pieces to scale, movements drawn × ${magnification}`;
  element("rows").innerHTML = String(jointRows(prediction, cell, unit, side));
  element("side-shown").textContent =
    `${deep ? `, ${side}` : ""}${two ? `, ${state.active === 0 ? "first" : "second"} cell` : ""}`;
  element("order").textContent = lengthText(prediction.firstOrderDifference, unit);
  showChallenge(closes(prediction, job));
  clearTimeout(waiting);
  waiting = setTimeout(() => {
    element("live").textContent = element(state.active === 0 ? "verdict" : "verdict-b").textContent;
  }, QUIET);
}

/** What is asked, or how it stands; only ramps, stops and what is to be seen can then be changed. */
function showChallenge(closed: boolean): void {
  const one = challenge();
  for (const [k] of challenges.entries())
    element(`challenge-${k}`).setAttribute("aria-pressed", String(k === state.challenge));
  for (const field of document.querySelectorAll<HTMLFieldSetElement>("fieldset[data-group]"))
    field.disabled = one !== null && !isMove({ group: field.dataset.group as "Ramps" });
  element<HTMLFieldSetElement>("trimming").disabled = one !== null;
  if (challenges.length === 0) return;
  element("show-faults").hidden = one === null || revealed;
  element("leave").hidden = one === null;
  const said = element("standing");
  said.className = "";
  said.textContent = "";
  if (one === null) return;
  const { moved, won } = standingOf(sliders, active().values, active().trims, closed);
  const by = (values: readonly number[]): string =>
    sliders
      .flatMap((slider, i) =>
        at(values, i) === 0
          ? []
          : [`${slider.label}, ${sliderTexts(slider, at(values, i), state.unit).words}`],
      )
      .join("; ");
  const off = revealed || won ? ` What was off: ${by(one.faults)}.` : "";
  if (won) said.className = "won";
  said.textContent = `${
    won
      ? `Closed with one move: ${by(active().values)}.`
      : moved.length === 0
        ? one.asks
        : closed
          ? `It closes, but with ${moved.length} moves: set all but one back to 0.`
          : moved.length === 1
            ? "Not closed yet."
            : `Not closed yet, and ${moved.length} moves are one too many.`
  }${off}`;
}

/** Puts the state into the page's address, where a page may. */
function keepAddress(): void {
  const address = writeAddress(state, names);
  const { href } = window.location;
  const link = `${href.split("#", 1)[0]}${address === "" ? "" : `#${address}`}`;
  element<HTMLInputElement>("link").value = link;
  element("copied").textContent = "";
  try {
    if (link !== href) window.history.replaceState(null, "", address === "" ? "#" : `#${address}`);
  } catch {
    // A page inside a notebook has no address of its own; the link can still be copied.
  }
}

function showUnits(): void {
  for (const shown of document.querySelectorAll<HTMLElement>("[data-size]"))
    shown.textContent = sizeText(Number(shown.dataset.size), state.unit);
  for (const shown of document.querySelectorAll<HTMLElement>("[data-length]"))
    shown.textContent = lengthText(Number(shown.dataset.length), state.unit);
}

/** Every piece that has been trimmed, and by how much. */
function trimmedText(): string {
  const taken = Object.entries(active().trims).filter(([, mm]) => mm > 0);
  if (taken.length === 0) return "Nothing has been trimmed.";
  return `Trimmed: ${taken.map(([piece, mm]) => `${piece} ${lengthText(mm, state.unit)}`).join(", ")}.`;
}

function trim(most?: number): void {
  const piece = element<HTMLSelectElement>("piece").value;
  const step = Number(element<HTMLSelectElement>("step").value);
  const { trims } = active();
  let done: Trimmed;
  try {
    done =
      piece === "all"
        ? trimInTurn(cell, sizesOf(active()), trims, step)
        : trimPiece(cell, sizesOf(active()), trims, piece, step, most);
  } catch (error) {
    element("trimmed").textContent = textOf(error);
    return;
  }
  const strokes = done.steps === 1 ? "One step taken off." : `${done.steps} steps taken off.`;
  const press = lengthText(done.press, state.unit);
  const outcome = done.goesIn
    ? `It goes in: nothing is pressed deeper than ${press}.`
    : `It does not go in yet: pressed ${press}.`;
  change({ trims: done.trims });
  element("trimmed").textContent =
    `${done.steps === 0 ? "No need to trim." : strokes} ${outcome} ${trimmedText()}`;
}

for (const [i, slider] of sliders.entries()) {
  const [input, field] = [at(inputs, i), at(fields, i)];
  const fault = element(`${slider.id}-fault`);
  input.addEventListener("input", () => {
    fault.textContent = "";
    const { size } = scaleOf(slider, state.unit);
    setValue(i, Number((Number(input.value) * size).toFixed(6)));
  });
  field.addEventListener("input", () => field.classList.add("typing"));
  field.addEventListener("change", () => {
    field.classList.remove("typing");
    try {
      const value = Number(typedSize(slider, field.value, state.unit).toFixed(6));
      fault.textContent = "";
      field.removeAttribute("aria-invalid");
      setValue(i, value);
    } catch (error) {
      fault.textContent = textOf(error);
      field.setAttribute("aria-invalid", "true");
    }
  });
  element(`${slider.id}-zero`).addEventListener("click", () => {
    fault.textContent = "";
    setValue(i, 0);
  });
}
function chosenOf(name: string, chosen: (value: string) => void): void {
  for (const choice of document.querySelectorAll<HTMLInputElement>(`input[name="${name}"]`))
    choice.addEventListener("change", () => chosen(choice.value));
}
function become(changed: Partial<PlayState>): void {
  state = { ...state, ...changed };
  showUnits();
  update();
}
chosenOf("unit", (value) => become({ unit: value as LengthUnit }));
chosenOf("side", (value) => become({ side: value as PanelSide }));
chosenOf("active", (value) => become({ active: value === "1" ? 1 : 0 }));
element("magnification").addEventListener("change", () => {
  const chosen = element<HTMLSelectElement>("magnification").value;
  become({ magnification: chosen === "" ? null : Number(chosen) });
});
element("two").addEventListener("change", () => {
  const two = element<HTMLInputElement>("two").checked;
  // The second begins as the first, and is what the sliders then change; of two, the one they change stays.
  become(two ? { cells: [active(), active()], active: 1 } : { cells: [active()], active: 0 });
});
element("example").addEventListener("change", () => {
  const [id, value] = element<HTMLSelectElement>("example").value.split(" ");
  change({ values: sliders.map((slider) => (slider.id === id ? Number(value) : 0)), trims: {} });
});
element("trim-once").addEventListener("click", () => trim(1));
element("trim-until").addEventListener("click", () => trim());
element("untrim").addEventListener("click", () => change({ trims: {} }));
element("all-zero").addEventListener("click", () => {
  element<HTMLSelectElement>("example").selectedIndex = 0;
  for (const { id } of sliders) element(`${id}-fault`).textContent = "";
  change(nothingOff(names));
});
element("print").addEventListener("click", () => window.print());
element("copy").addEventListener("click", async () => {
  const link = element<HTMLInputElement>("link");
  try {
    await navigator.clipboard.writeText(link.value);
    element("copied").textContent = "Copied.";
  } catch {
    link.focus();
    link.select();
    element("copied").textContent = "Marked: copy it with your keyboard or the menu.";
  }
});
for (const [k] of challenges.entries())
  element(`challenge-${k}`).addEventListener("click", () => {
    revealed = false;
    become({ challenge: k, cells: [nothingOff(names)], active: 0 });
  });
if (challenges.length > 0) {
  element("show-faults").addEventListener("click", () => {
    revealed = true;
    update();
  });
  element("leave").addEventListener("click", () =>
    become({ challenge: null, cells: [nothingOff(names)], active: 0 }),
  );
}
window.addEventListener("hashchange", readLink);

/** Takes the state from the address, and says what of it this page does not have. */
function readLink(): void {
  const address = window.location.hash.slice(1);
  if (address === writeAddress(state, names)) return;
  const { state: read, refused } = readAddress(address, names);
  state = read;
  revealed = false;
  element("refused").textContent =
    refused.length === 0
      ? ""
      : `The link asks for what this page does not have, or cannot show; that was left out: ${refused.slice(0, 5).join(", ")}${refused.length > 5 ? " …" : ""}.`;
  showUnits();
  update();
}

readLink();
showUnits();
update();

/** The element of the page with this id; the page is written with it. */
function element<T extends Element = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`The page has no element “${id}”.`);
  return found as Element as T;
}
