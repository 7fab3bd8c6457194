import { isUserError } from "../../../core/errors.js";
import { TRIALS_FILE } from "../../../io/files.js";
import { shippedPattern, shippedPatterns } from "../../../io/patterns/find-pattern.js";
import type { Html } from "../../../render/html.js";
import { starterJob } from "../../new/index.js";
import { namesPicture, shopPictures } from "../pictures.js";
import { placeDrawing } from "../place-drawing.js";
import { isTaken, type SheetRow, tableOf } from "../readings-table.js";
import { shopParts, withValue } from "../shop-form.js";
import { freeTrial, stationChoices } from "../trial-list.js";
import { answerHtml, busyHtml, filesHtml, readingsHtml, shopHtml, startHtml } from "../views.js";
import { showCard } from "./card.js";
import { filesOf, Session } from "./session.js";
import { emptyState, type SheetStart, VIEWS, type ViewName } from "./store.js";
import { type SheetMessage, startTask } from "./worker.js";

const SEED = 1;

let session: Session;

// What is on its way and not kept: half a feeler reading, refused values, work in the other thread.
let leaf: number | null = null;
let typed = "";
let fault: string | null = null;
let said = "";
let busy: { readonly what: string; step: string; readonly since: number; readonly end: () => void } | null =
  null;
const shopFaults = new Map<string, { typed: string; says: string }>();

/** Opens the page: with what was kept, else with what the command wrote into it. */
export function openSheet(): void {
  session = new Session(JSON.parse(byId("start").textContent ?? "{}") as SheetStart);
  try {
    session.open();
  } catch (error) {
    fault = messageOf(error);
    session.keep({ view: "files" });
  }
  document.addEventListener("click", ({ target }) => {
    const button = (target as Element).closest<HTMLElement>("button[data-act]");
    if (button) ACTIONS[button.dataset.act ?? ""]?.(button.dataset);
  });
  document.addEventListener("submit", onSubmit);
  document.addEventListener("change", onChange);
  window.addEventListener("beforeprint", showPaper);
  setInterval(showSeconds, SIGN_OF_LIFE);
  show();
  if (session.state.view === "readings") planIfEmpty();
}

// Showing.

function show(): void {
  byId("main").innerHTML = String(busy ? busyHtml(busy.what, busy.step) : viewHtml());
  for (const button of document.querySelectorAll<HTMLButtonElement>("nav [data-view]")) {
    const { view = "" } = button.dataset;
    button.disabled = busy !== null || (session.loaded === null && ["readings", "answer"].includes(view));
    if (view === session.state.view) button.setAttribute("aria-current", "page");
    else button.removeAttribute("aria-current");
  }
  showSeconds();
  byId("job").textContent = session.loaded?.job.title ?? "";
  const card = document.getElementById("card");
  if (card) showCard(card, session.state.answer, null);
}

const showPaper = (): void => showCard(byId("paper"), session.state.answer, session.loaded?.job ?? null);

function viewHtml(): Html {
  const { state, loaded, taken, kept } = session;
  const { view, answer, answered, notes, says } = state;
  if (view === "files") {
    const job = state.job === "" ? null : { name: state.jobFile, text: state.job };
    return filesHtml({ job, trials: tableOf(state.rows.filter(isTaken)), taken, fault, said, kept });
  }
  if (!loaded) {
    const patterns = shippedPatterns().map((name) => ({ name, title: shippedPattern(name).title }));
    return startHtml(patterns, session.start.units);
  }
  const { job, groups } = loaded;
  if (view === "shop")
    return shopHtml({ parts: shopParts(state.job), pictures: shopPictures(job), faults: shopFaults });
  if (view === "answer") return answerHtml({ answer, fault, taken, stale: answered !== session.now });
  const found = session.task;
  const drawing = found && placeDrawing(job, found.task.reading, found.task.ask);
  return readingsHtml({
    groups,
    leaf,
    typed,
    fault,
    notes,
    says,
    units: job.units,
    current: found && drawing && { ...found, drawing },
    choices: stationChoices(job),
    names: namesPicture(job),
    opened: openTrials(),
  });
}

/** Names of the trials that stand open on the page. */
const openTrials = (): Set<string> =>
  new Set(
    [...document.querySelectorAll<HTMLElement>(".trial[open]")].map(({ dataset: { trial = "" } }) => trial),
  );

/** Shows the page as it is now, with the focus on the first of these that is there. */
function showAt(...selectors: readonly string[]): void {
  show();
  const found = selectors.map((selector) => document.querySelector<HTMLElement>(selector));
  const place = found.find((one) => one !== null);
  place?.focus({ preventScroll: place.id === "main" });
}

function goTo(view: ViewName): void {
  [fault, said, leaf, typed] = [null, "", null, ""];
  session.keep({ view });
  if (view === "readings") {
    session.current ??= session.nextUnread();
    if (planIfEmpty()) return;
  }
  window.scrollTo(0, 0);
  showAt("#main");
}

/** Goes to a reading, with nothing of another one half done. */
function goToReading(index: number | null): void {
  [leaf, typed, fault] = [null, "", null];
  session.current = index;
  showAt("#now", "#main");
}

// Work in the other thread.

/** Between two signs of life of the work, ms. */
const SIGN_OF_LIFE = 1000;

/** How long the work has taken; not read aloud, as its steps are. */
function showSeconds(): void {
  const seconds = document.getElementById("seconds");
  if (busy && seconds) seconds.textContent = String(Math.round((Date.now() - busy.since) / 1000));
}

function run(what: "fit" | "plan", title: string, done: (message: SheetMessage) => void): void {
  if (busy || !session.loaded) return;
  fault = null;
  const { state } = session;
  const end = startTask({ what, files: filesOf(state), folder: state.folder, seed: SEED }, (message) => {
    if (!busy) return;
    if ("step" in message) {
      busy.step = message.step;
      return show();
    }
    busy = null;
    if ("fault" in message) fault = message.fault;
    else done(message);
    showAt("#fault", "#do", "#now", "#main");
  });
  busy = { what: title, step: "reading the files", since: Date.now(), end };
  showAt("[data-act=stop]");
}

function findAnswer(): void {
  const asked = session.now;
  const since = Date.now();
  session.keep({ view: "answer" });
  run("fit", "Working out what to move", (message) => {
    if (!("answer" in message)) return;
    const seconds = (Date.now() - since) / 1000;
    session.keep({ answer: { ...message.answer, seconds }, answered: asked });
  });
}

function plan(): void {
  session.keep({ view: "readings" });
  run("plan", "Planning the trial pieces", (message) => {
    if (!("plan" in message)) return;
    const { table, notes, says } = message.plan;
    fault = session.takePlan(table, notes, says);
  });
}

/** A shop without any row is planned for at once. */
function planIfEmpty(): boolean {
  if (!session.loaded || session.state.rows.length > 0) return false;
  plan();
  return true;
}

// What is done.

/** Writes into the current reading and goes on to the next. */
function record(amounts: Partial<SheetRow>): void {
  const at = session.current;
  fault = session.record(amounts);
  if (fault !== null) {
    leaf = null;
    showAt("#value", ".leaves button");
    return;
  }
  // Told to a screen reader without moving it.
  byId("live").textContent = `Kept: ${session.task?.task.read ?? ""}.`;
  goToReading(at === null ? null : session.nextUnread(at));
}

function tapLeaf(i: number): void {
  fault = null;
  if (leaf !== null && leaf !== i) {
    record({ low: session.leaf(leaf), high: session.leaf(i) });
    return;
  }
  leaf = leaf === i ? null : i;
  showAt(leaf === null ? ".leaves button" : `[data-leaf="${leaf + 1}"]`, ".leaves .wide");
}

const ACTIONS: Readonly<Record<string, (data: DOMStringMap) => void>> = {
  view: ({ view }) => goTo(VIEWS.find((name) => name === view) ?? "shop"),
  plan,
  fit: findAnswer,
  stop: () => {
    busy?.end();
    busy = null;
    fault = "Stopped. Nothing has changed.";
    showAt("#main");
  },
  go: ({ index }) => {
    goToReading(Number(index));
    byId("main").scrollIntoView();
  },
  skip: () => goToReading(session.current === null ? null : session.nextUnread(session.current)),
  leaf: (data) => tapLeaf(Number(data.leaf)),
  nothing: () => record({ high: session.leaf(0) }),
  over: () => {
    if (leaf !== null) record({ low: session.leaf(leaf) });
  },
  clear: () => {
    fault = session.record({});
    showAt("#now");
  },
  again: ({ trial = "" }) => {
    fault = session.again(trial);
    showAt("#now");
  },
  drop: ({ trial = "" }) => {
    const own = session.state.rows.filter((row) => row.trial === trial);
    const read = own.filter(isTaken).length;
    const all = read === 0 || read === own.length;
    if (all && read > 0 && !confirm(`Remove trial ${trial} with ${read} readings?`)) return;
    fault = session.drop(trial, all);
    showAt("#now", "#main");
  },
  made: () => {
    fault = session.madeMoves();
    if (fault === null) plan();
    else show();
  },
  print: () => window.print(),
  "save-card": () => save("card.html", session.state.answer?.page ?? "", "text/html"),
  "save-job": () => save(session.state.jobFile, session.state.job, "text/yaml"),
  "save-trials": () => save(TRIALS_FILE, tableOf(session.state.rows.filter(isTaken)), "text/csv"),
  anew: () => {
    const lost = "The readings taken here will be gone; save them first if you need them. Begin a new shop?";
    if (session.taken > 0 && !confirm(lost)) return;
    session.clear();
    shopFaults.clear();
    showAt("#main");
  },
};

function onSubmit(event: SubmitEvent): void {
  event.preventDefault();
  const form = event.target as HTMLFormElement;
  const data = new FormData(form);
  const word = (name: string): string => String(data.get(name) ?? "").trim();
  switch (form.dataset.act) {
    case "value":
      typed = word("value");
      record({ value: typed });
      break;
    case "choose":
      if (session.loaded)
        fault = session.add(freeTrial(session.loaded.job, word("station")), session.freeName("p"));
      [leaf, typed] = [null, ""];
      showAt("#now");
      break;
    case "begin":
      begin(word("title") || "My screen", word("units") === "in" ? "in" : "mm", word("pattern"));
  }
}

function begin(title: string, units: "mm" | "in", pattern: string): void {
  const files = starterJob(title, units, shippedPattern(pattern));
  fault = session.change({ ...emptyState(), folder: "job", jobFile: "job.yaml", job: files["job.yaml"] });
  window.scrollTo(0, 0);
  showAt("#main");
}

function onChange({ target }: Event): void {
  const control = target as HTMLInputElement;
  const { field: id, note } = control.dataset;
  if (control.id === "open") void openFiles([...(control.files ?? [])]);
  if (note !== undefined) {
    const rows = session.state.rows.map((row, i) =>
      i === Number(note) ? { ...row, note: control.value.trim() } : row,
    );
    fault = session.change({ rows });
    if (fault !== null) show();
  }
  if (id !== undefined) changeShop(id, control.value);
}

/** Writes a field of the form into the job; a refused value stays to be mended, and the job is as before. */
function changeShop(id: string, value: string): void {
  const field = shopParts(session.state.job)
    .flatMap(({ fields }) => fields)
    .find((one) => one.id === id);
  if (!field) return;
  const refused = session.change({ job: withValue(session.state.job, field, value) });
  if (refused === null) shopFaults.delete(id);
  else shopFaults.set(id, { typed: value, says: refused });
  // The next field has the focus already, and must keep it.
  const focused = document.activeElement?.id;
  show();
  if (focused) document.getElementById(focused)?.focus();
}

async function openFiles(files: readonly File[]): Promise<void> {
  const held: Record<string, Uint8Array> = {};
  for (const file of files) held[file.name] = new Uint8Array(await file.arrayBuffer());
  if (session.taken > 0 && !confirm("The readings here give way to those of the files. Go on?")) return;
  [fault, said] = [null, ""];
  try {
    session.take(held);
    said = `Opened: ${files.map(({ name }) => name).join(", ")}. ${session.taken} readings.`;
    shopFaults.clear();
  } catch (error) {
    fault = messageOf(error);
  }
  showAt("#fault", "#open");
}

/** What to tell of an error; one that is a mistake of ours is thrown on. */
function messageOf(error: unknown): string {
  if (!isUserError(error)) throw error;
  return error.message;
}

function save(name: string, text: string, type: string): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], { type }));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
}

function byId(id: string): HTMLElement {
  const found = document.getElementById(id);
  if (!found) throw new Error(`The page has no element “${id}”.`);
  return found;
}
