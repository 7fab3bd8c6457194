import { JOB_FILES } from "../../io/files.js";
import type { ReadingBench } from "../../model/readings.js";
import { CAUTIONS } from "../../render/cautions.js";
import { type Content, type Html, html, raw } from "../../render/html.js";
import { capitalised } from "../../render/source-text.js";
import type { SheetAnswer } from "./answer.js";
import { leafName } from "./readings-table.js";
import type { ShopField, ShopPart } from "./shop-form.js";
import type { ReadingTask, TrialGroup } from "./trial-list.js";

// What the page shows, as markup. What a button does is in its data-act; browser/app.ts does it.

const on = (test: boolean, attribute: string): Html => raw(test ? ` ${attribute}` : "");

const count = (n: number, what: string): string => `${n} ${what}${n === 1 ? "" : "s"}`;

/** Lines of a refusal, each a sentence. */
const refusal = (fault: string | null, id: string): Content =>
  fault === null ? "" : html`<p class="fault" id="${id}" role="alert">${fault}</p>`;

const careHtml = (cautions: readonly string[]): Html =>
  html`<section class="care"><h2>Take care</h2><ul>${cautions.map((line) => html`<li>${line}</li>`)}</ul></section>`;

/** Work under way in the other thread: its last step, and the way to end it. */
export const busyHtml = (what: string, step: string): Html =>
  html`<section class="busy"><h2>${what}</h2>
<p role="status" aria-live="polite"><span class="dots" aria-hidden="true"></span>${step} …</p>
<p aria-hidden="true"><span id="seconds">0</span> s</p>
<button type="button" data-act="stop">Stop</button></section>`;

/** Where there is no shop yet. */
export function startHtml(
  patterns: readonly { readonly name: string; readonly title: string }[],
  units: string,
): Html {
  const choices = patterns.map(({ name, title }) => html`<option value="${name}">${title}</option>`);
  const unit = (value: string, text: string): Html =>
    html`<label class="choice"><input type="radio" name="units" value="${value}"${on(value === units, "checked")}> ${text}</label>`;
  return html`<section><h2>Your shop</h2>
<p>Say what you make and how you measure. You get a shop with usual values; change what differs in yours.</p>
<form data-act="begin">
<div class="field"><label for="title">Name of the job</label><input id="title" name="title" autocomplete="off" value="My screen"></div>
<fieldset class="field"><legend>You measure in</legend>${unit("mm", "mm")}${unit("in", "inches")}</fieldset>
<div class="field"><label for="pattern">Pattern</label><select id="pattern" name="pattern">${choices}</select></div>
<button class="primary">Set up the shop</button>
</form>
<p>Or take up a job that you have: <button type="button" data-act="view" data-view="files">Open files</button></p>
</section>`;
}

export interface ShopView {
  readonly parts: readonly ShopPart[];
  /** Pictures of the cell, and of jigs and set-ups by their names. */
  readonly pictures: ReadonlyMap<string, Html>;
  /** What is wrong with a field, and what was typed there. */
  readonly faults: ReadonlyMap<string, { readonly typed: string; readonly says: string }>;
}

export function shopHtml({ parts, pictures, faults }: ShopView): Html {
  const part = ({ heading, says, of, fields, folded }: ShopPart): Html => {
    const picture = of && pictures.get(`${of.kind} ${of.name}`);
    const inside = html`<p>${says}</p>${picture ? html`<figure class="${of.kind === "cell" ? "whole" : "on-jig"}">${picture}</figure>` : ""}<div class="fields">${fields.map((field) => fieldHtml(field, faults))}</div>`;
    return folded
      ? html`<details class="part"><summary>${heading}</summary>${inside}</details>`
      : html`<section class="part"><h2>${heading}</h2>${inside}</section>`;
  };
  return html`<p>A change is kept at once. What cannot be is refused, and the old value stays.</p>
<div class="parts">${parts.map(part)}</div>
<p class="go"><button type="button" class="primary" data-act="view" data-view="readings">Go to the readings</button></p>`;
}

function fieldHtml({ id, label, hint, value, choices }: ShopField, faults: ShopView["faults"]): Html {
  const fault = faults.get(id);
  const said = [hint === "" ? "" : `${id}-hint`, fault ? `${id}-fault` : ""]
    .filter((one) => one !== "")
    .join(" ");
  const attributes = html`id="${id}" data-field="${id}" aria-describedby="${said}"${on(fault !== undefined, 'aria-invalid="true"')}`;
  const control = choices
    ? html`<select ${attributes}>${choices.map(([choice, text]) => html`<option value="${choice}"${on(choice === value, "selected")}>${text}</option>`)}</select>`
    : html`<input ${attributes} autocomplete="off" autocapitalize="off" spellcheck="false" value="${fault?.typed ?? value}">`;
  return html`<div class="field"><label for="${id}">${label}</label>${control}${hint === "" ? "" : html`<p class="hint" id="${id}-hint">${hint}</p>`}${refusal(fault?.says ?? null, `${id}-fault`)}</div>
`;
}

export interface ReadingsView {
  readonly groups: readonly TrialGroup[];
  readonly units: "mm" | "in";
  /** The reading that is being taken, with its drawing; none when all are taken. */
  readonly current: { readonly group: TrialGroup; readonly task: ReadingTask; readonly drawing: Html } | null;
  /** The cell with the names of its joints, pieces and ends. */
  readonly names: Html;
  /** Trials that stand open. */
  readonly opened: ReadonlySet<string>;
  /** The leaf said to go in, while the one that does not is still to be named. */
  readonly leaf: number | null;
  readonly typed: string;
  readonly fault: string | null;
  /** What each planned trial leads to, by its name, and the plan as a whole. */
  readonly notes: Readonly<Record<string, string>>;
  readonly says: string;
  /** Every trial that could be measured: what is cut, then where it is judged. */
  readonly choices: readonly {
    readonly cut: string;
    readonly stations: readonly { readonly value: string; readonly text: string }[];
  }[];
}

export function readingsHtml(view: ReadingsView): Html {
  const { groups, current, says } = view;
  const tasks = groups.flatMap((group) => group.tasks);
  const taken = tasks.filter(({ read }) => read !== "").length;
  const head =
    tasks.length === 0
      ? html`<p>Nothing is planned yet.</p>`
      : html`<p class="count"><progress max="${tasks.length}" value="${taken}" aria-label="Readings taken"></progress> ${taken} of ${count(tasks.length, "reading")} taken</p>`;
  const done =
    tasks.length > 0 && taken === tasks.length
      ? html`<section class="now"><h2>All of these are read</h2><p>See what to move, or plan further pieces.</p><button type="button" class="primary" data-act="fit">What should I move?</button></section>`
      : "";
  return html`${head}${current ? "" : refusal(view.fault, "fault")}
<div class="bench">
<div>${current ? currentHtml(view, current) : done}</div>
<div><section aria-labelledby="all"><h2 id="all">Trial pieces</h2>
${says === "" ? "" : html`<p>${says}</p>`}
${groups.map((group) => groupHtml(group, view))}
</section>
<section aria-labelledby="more"><h2 id="more">More pieces</h2>
<p>The plan looks at what is known and says which pieces tell most.</p>
<button type="button" data-act="plan">Which pieces to cut next?</button>
${choiceHtml(view)}
</section>
<p class="go"><button type="button" class="primary" data-act="fit"${on(taken === 0, "disabled")}>What should I move?</button></p>
${careHtml(CAUTIONS)}
</div></div>`;
}

function choiceHtml({ choices }: ReadingsView): Html {
  const options = choices.map(
    ({ cut, stations }) =>
      html`<optgroup label="${cut}">${stations.map(({ value, text }) => html`<option value="${value}">${text}</option>`)}</optgroup>`,
  );
  return html`<details><summary>Choose a piece yourself</summary>
<form data-act="choose" class="field"><label for="station">What you cut, and how you measure it</label><select id="station" name="station">${options}</select><button>Add it</button></form></details>`;
}

/** How a piece is held for its reading. */
function benchSays(bench: ReadingBench, what: string): string {
  if (bench === "none") return what === "gap" ? "" : "Measure the piece by itself.";
  if (bench === "cell") return "Put the whole cell together and hold it closed with your fingers.";
  if (bench.startsWith("corner-"))
    return `Push the point home in a reference corner of ${bench.slice("corner-".length)}°.`;
  const says: Readonly<Record<string, string>> = {
    straightedge: "Lay the bevel against a straightedge, the long side of the piece against a fence.",
    "mitre-pair": "Lay two ends mitre to mitre, each with its side against a fence.",
    reversal: "Lay two points back to back on a straight line.",
    ring: "Lay the points side by side about one centre.",
  };
  return says[bench] ?? "";
}

function currentHtml(
  view: ReadingsView,
  { group, task, drawing }: NonNullable<ReadingsView["current"]>,
): Html {
  const place = group.tasks.findIndex(({ index }) => index === task.index) + 1;
  const { row, reading, ask, where, read, index } = task;
  return html`<section class="now" aria-labelledby="now" data-index="${index}">
<p class="step">Trial ${group.trial}, reading ${place} of ${group.tasks.length}</p>
<h2 id="now" tabindex="-1">${ask}</h2>
<p>${group.cut}. ${benchSays(reading.bench, reading.what)}</p>
<figure>${drawing}<figcaption>${capitalised(where)}. The place to measure is marked.</figcaption></figure>
<details class="names"><summary>Which joint is which</summary><div class="scroll" tabindex="0" role="group" aria-label="Names of joints, pieces and ends">${view.names}</div></details>
${task.leaves.length > 0 ? leavesHtml(view, task) : valueHtml(view, task)}
${read === "" ? "" : html`<p class="read">Read: ${read}. <button type="button" data-act="clear">Clear it</button></p>`}
<p class="row"><button type="button" data-act="skip">Leave it for now</button></p>
<details><summary>Note</summary><div class="field"><label for="note">Anything odd about this reading</label><input id="note" data-note="${index}" autocomplete="off" value="${row.note}"></div></details>
</section>`;
}

function leavesHtml({ leaf, fault, units }: ReadingsView, { leaves }: ReadingTask): Html {
  const asked =
    leaf === null
      ? "Which is the thickest leaf that goes in?"
      : `${leafName(leaves[leaf] ?? 0, units)} goes in. Which is the thinnest that does not?`;
  const buttons = leaves.map(
    (mm, i) =>
      html`<button type="button" data-act="leaf" data-leaf="${i}" aria-pressed="${leaf === i ? "true" : "false"}"${on(leaf !== null && i === leaf + 1, 'class="likely"')}>${leafName(mm, units)}</button>`,
  );
  const end =
    leaf === null
      ? html`<button type="button" class="wide" data-act="nothing">Nothing goes in</button>`
      : html`<button type="button" class="wide" data-act="over">No thicker leaf at hand</button>`;
  return html`<fieldset class="leaves" aria-describedby="fault"><legend aria-live="polite">${asked}</legend>${end}${buttons}</fieldset>${refusal(fault, "fault")}`;
}

function valueHtml(
  { typed, fault, units }: ReadingsView,
  { reading, row, nominal, example }: ReadingTask,
): Html {
  const unit = reading.what === "angle" ? "°" : row.unit || units;
  const shown = typed === "" ? row.value : typed;
  const pad = reading.what !== "angle" && units === "mm" ? "decimal" : "text";
  return html`<form data-act="value" class="value"><label for="value">What you read</label>
<input id="value" name="value" inputmode="${pad}" autocomplete="off" autocapitalize="off" spellcheck="false" enterkeyhint="next" value="${shown}" aria-describedby="unit example${fault === null ? "" : " fault"}"${on(fault !== null, 'aria-invalid="true"')}><span id="unit">${unit}</span><button class="primary">Save</button>
<p class="hint" id="example">${nominal === "" ? "" : `${nominal}. `}Type it as ${example}.</p></form>${refusal(fault, "fault")}`;
}

function groupHtml({ trial, cut, tasks }: TrialGroup, { current, notes, opened }: ReadingsView): Html {
  const taken = tasks.filter(({ read }) => read !== "").length;
  const rows = tasks.map(
    ({ index, ask, where, read }) =>
      html`<li><button type="button" class="task" data-act="go" data-index="${index}"${on(current?.task.index === index, 'aria-current="true"')}><span>${ask}</span><small>${where}</small><b>${read === "" ? "not read yet" : read}</b></button></li>`,
  );
  // One that is read through is folded once another one is at hand.
  const here = current?.group.trial === trial;
  const open = here || (opened.has(trial) && (taken < tasks.length || current === null));
  return html`<details class="trial" data-trial="${trial}"${on(open, "open")}><summary><strong>${trial}</strong> ${cut} <span class="tally">${taken} of ${tasks.length}</span></summary>
${notes[trial] ? html`<p>${notes[trial] ?? ""}</p>` : ""}
<ol>${rows}</ol>
<p class="row"><button type="button" data-act="again" data-trial="${trial}">Cut another like this</button><button type="button" data-act="drop" data-trial="${trial}">${taken > 0 && taken < tasks.length ? "Leave out what is not read" : "Remove"}</button></p></details>`;
}

export interface AnswerView {
  readonly answer: SheetAnswer | null;
  /** Whether readings or shop have changed since. */
  readonly stale: boolean;
  readonly taken: number;
  readonly fault: string | null;
}

export function answerHtml({ answer, stale, taken, fault }: AnswerView): Html {
  const ask = html`<p><button type="button" class="primary" data-act="fit"${on(taken === 0, "disabled")}>What should I move?</button> <span>From ${count(taken, "reading")}.</span></p>${refusal(fault, "fault")}`;
  if (!answer)
    return html`<section><h2>What to move</h2>${ask}<p>The card is worked out on this device. Nothing is sent anywhere.</p>${taken === 0 ? html`<p>Take some readings first.</p>` : ""}</section>`;
  const { card, next, round, printed, seconds } = answer;
  const { steps, staying } = card;
  return html`${stale ? html`<section class="stale" role="status"><p><strong>Readings or shop have changed since this card.</strong></p>${ask}</section>` : refusal(fault, "fault")}
<section class="answer" aria-labelledby="do"><h2 id="do" tabindex="-1">What to do</h2>
${steps.length === 0 ? html`<p>Nothing: leave every jig and stop as it is.</p>` : html`<ol class="moves">${steps.map(({ about, action, reason, check }) => html`<li><strong>${about}</strong><p class="action">${action}</p>${reason === "" ? "" : html`<p>${reason}</p>`}${check === "" ? "" : html`<p>Then check: ${check}</p>`}</li>`)}</ol>`}
${staying.length === 0 ? "" : html`<h3>What stays as it is</h3><ul>${staying.map((text) => html`<li>${text}</li>`)}</ul>`}
</section>
<section><h2>What to expect of a cell</h2>
<div class="scroll" tabindex="0" role="group" aria-label="What to expect of a cell"><table><thead><tr><th scope="col">A cell</th><th scope="col">as it is</th><th scope="col">after the moves</th></tr></thead><tbody>${card.forecast.map(([what, before, after]) => html`<tr><th scope="row">${what}</th><td>${before}</td><td>${after}</td></tr>`)}</tbody></table></div>
${card.forecastDoubt === "" ? "" : html`<p><strong>${card.forecastDoubt}</strong></p>`}
<p>${card.fit}</p></section>
<section><h2>What to read next</h2>
${next.length === 0 ? html`<p>These readings tell all errors apart.</p>` : html`<ul>${next.map((line) => html`<li>${line}</li>`)}</ul>`}
<p class="row"><button type="button" data-act="plan">Which pieces to cut next?</button>${round === "" ? "" : html`<button type="button" data-act="made">I have made these moves</button>`}</p>
${round === "" ? "" : html`<p class="hint">Once the moves are made, readings that follow are kept apart from those before.</p>`}</section>
${careHtml(card.cautions)}
<section><h2>The card</h2><p class="row"><button type="button" data-act="print">Print the card</button><button type="button" data-act="save-card">Save the card</button></p>
<div id="card"></div>
<details><summary>All figures</summary><p>As “sukima calibrate --details” prints them of these files.</p><pre id="printed" tabindex="0">${printed}</pre></details>${seconds === undefined ? "" : html`<p class="hint">Worked out in ${seconds.toFixed(1)} s on this device.</p>`}</section>`;
}

export interface FilesView {
  /** Names of the two files, and their text. */
  readonly job: { readonly name: string; readonly text: string } | null;
  readonly trials: string;
  readonly taken: number;
  readonly fault: string | null;
  readonly said: string;
  /** Whether the browser keeps what is typed. */
  readonly kept: boolean;
}

export function filesHtml({ job, trials, taken, fault, said, kept }: FilesView): Html {
  const copy = (name: string, text: string): Html =>
    html`<details><summary>Text of ${name}</summary><pre tabindex="0">${text}</pre></details>`;
  const save = job
    ? html`<section><h2>Save</h2>
<p>${kept ? "Everything is kept in this browser, through reload and power-off. Save the files too: they are what “sukima calibrate” reads, and a copy in case the browser's data are cleared." : html`<strong>This browser keeps nothing of this page. Save the files before you close it.</strong>`}</p>
<p class="row"><button type="button" data-act="save-job">Save ${job.name}</button><button type="button" data-act="save-trials">Save trials.csv (${count(taken, "reading")})</button></p>
${copy(job.name, job.text)}${copy("trials.csv", trials)}</section>`
    : "";
  return html`${save}
<section><h2>Open</h2>
<p>A job file (${JOB_FILES.join(", ")}), a trials.csv, or both; a pattern or a record that the job names goes with them. They take the place of what is here.</p>
<div class="field"><label for="open">Files</label><input type="file" id="open" multiple accept=".yaml,.yml,.json,.csv"></div>
${refusal(fault, "fault")}<p role="status">${said}</p></section>
${job ? html`<section><h2>Begin anew</h2><p>Another pattern or other units need a shop of their own.</p><button type="button" data-act="anew">Begin a new shop</button></section>` : ""}`;
}
