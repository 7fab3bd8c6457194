import { isUserError } from "../../../core/errors.js";
import { at } from "../../../core/numeric/dense.js";
import { JobError } from "../../../io/faults.js";
import { JOB_FILES, TRIALS_FILE } from "../../../io/files.js";
import { loadJob } from "../../../io/job/load-job.js";
import type { Job } from "../../../model/job/job.js";
import {
  isTaken,
  leafCell,
  readingsOf,
  rowFault,
  type SheetRow,
  sheetRows,
  tableOf,
} from "../readings-table.js";
import { withRound } from "../shop-form.js";
import { type ReadingTask, type TrialGroup, trialGroups } from "../trial-list.js";
import { holdFiles, putFile } from "./memory-files.js";
import { emptyState, keepState, keptState, type SheetStart, type SheetState } from "./store.js";

/** One row is read by itself, so that its refusal is about it alone. */
const ONE = "reading.csv";

/** A job that can be read, and its trials. */
interface Loaded {
  readonly job: Job;
  readonly groups: readonly TrialGroup[];
}

/** The job and its readings on the page: what was typed is checked as on the command line before it is taken, and kept when it is. */
export class Session {
  state: SheetState;
  /** `null` while there is no shop. */
  loaded: Loaded | null = null;
  /** Whether the browser keeps what is typed. */
  kept = true;
  /** Place in the table of the reading that is being taken; `null` when all are taken. */
  current: number | null = null;

  /** Begins with what the browser kept, else with what the command wrote into the page. @throws JobError when that cannot be read any more */
  constructor(readonly start: SheetStart) {
    this.state = keptState(start) ?? this.#given(start);
    this.kept = keepState(start, this.state);
  }

  /** Reads what it began with. @throws JobError when it cannot be read */
  open(): void {
    if (this.state.job !== "") this.#load(this.state);
    this.current = this.nextUnread();
  }

  #given({ folder, jobFile, files }: SheetStart): SheetState {
    if (jobFile === "") return emptyState();
    const others = Object.entries(files).filter(([name]) => name !== jobFile && name !== TRIALS_FILE);
    holdFiles(folder, files);
    return {
      ...emptyState(),
      folder,
      jobFile,
      job: files[jobFile] ?? "",
      others: Object.fromEntries(others),
      rows: files[TRIALS_FILE] === undefined ? [] : sheetRows(TRIALS_FILE),
    };
  }

  #load(next: SheetState): void {
    holdFiles(next.folder, filesOf(next));
    const job = loadJob(".");
    const readings = readingsOf(next.rows, job, putFile, "all.csv");
    this.loaded = { job, groups: trialGroups(job, next.rows, readings) };
    this.state = next;
  }

  /** Takes a change if the job can then be read with all its rows, and keeps it; else says why not. */
  change(change: Partial<SheetState>): string | null {
    try {
      this.#load({ ...this.state, ...change });
      this.keep();
      return null;
    } catch (error) {
      if (!isUserError(error)) throw error;
      return sentencesOf(error);
    }
  }

  /** Keeps what stands; of what is read again at every change nothing need be checked. */
  keep(change: Partial<SheetState> = {}): void {
    this.state = { ...this.state, ...change };
    this.kept = keepState(this.start, this.state);
  }

  /** Forgets the shop. */
  clear(): void {
    this.keep(emptyState());
    this.loaded = null;
    this.current = null;
  }

  get taken(): number {
    return this.state.rows.filter(isTaken).length;
  }

  /** What the answer depends on, as one text. */
  get now(): string {
    return JSON.stringify(filesOf(this.state));
  }

  get task(): { readonly group: TrialGroup; readonly task: ReadingTask } | null {
    for (const group of this.loaded?.groups ?? [])
      for (const task of group.tasks) if (task.index === this.current) return { group, task };
    return null;
  }

  /** The next reading after one that is still to be taken, then those before it; `null` when there is none but itself. */
  nextUnread(after = -1): number | null {
    const order = (this.loaded?.groups ?? []).flatMap(({ tasks }) => tasks);
    const from = order.findIndex(({ index }) => index === after);
    const turned = [...order.slice(from + 1), ...order.slice(0, from + 1)];
    return turned.find(({ read, index }) => read === "" && index !== after)?.index ?? null;
  }

  /** Writes amounts into the current row; says why not where they cannot be. */
  record(amounts: Partial<SheetRow>): string | null {
    const index = this.current;
    if (index === null || !this.loaded) return null;
    const row: SheetRow = { ...at(this.state.rows, index), ...NOTHING_READ, ...amounts };
    const wrong = isTaken(row) ? rowFault(row, this.loaded.job, putFile, ONE) : null;
    return wrong ?? this.change({ rows: this.state.rows.map((one, i) => (i === index ? row : one)) });
  }

  /** A leaf of the current feeler gauge, as it is written in the table. */
  leaf(i: number): string {
    const task = this.task?.task;
    const unit = task?.row.unit || (this.loaded?.job.units ?? "mm");
    return leafCell(at(task?.leaves ?? [], i), unit);
  }

  /** Adds the rows of a table; where a trial is named, they are of that trial. */
  add(table: string, trial?: string): string | null {
    putFile(ONE, table);
    const rows = sheetRows(ONE).map((row, i) =>
      trial === undefined ? row : { ...row, trial, id: `${trial}-${i + 1}` },
    );
    const wrong = this.change({ rows: [...this.state.rows, ...rows] });
    if (wrong === null) this.current = this.state.rows.length - rows.length;
    return wrong;
  }

  /** Another piece like that of a trial, nothing of it read. */
  again(trial: string): string | null {
    const own = this.state.rows.filter((row) => row.trial === trial);
    return this.add(tableOf(own.map((row) => ({ ...row, ...NOTHING_READ, note: "" }))), this.freeName(trial));
  }

  /** A name for a trial that no row has. */
  freeName(wanted: string): string {
    const names = new Set(this.state.rows.flatMap(({ trial, id }) => [trial, id]));
    const stem = wanted.replace(/-\d+$/, "");
    for (let n = 2; ; n++)
      if (!names.has(`${stem}-${n}`) && !names.has(`${stem}-${n}-1`)) return `${stem}-${n}`;
  }

  /** Takes a trial away: what is not read first, all of it when everything or nothing is. */
  drop(trial: string, all: boolean): string | null {
    const wrong = this.change({
      rows: this.state.rows.filter((row) => row.trial !== trial || (!all && isTaken(row))),
    });
    this.current = this.nextUnread();
    return wrong;
  }

  /** Takes a new plan; what an earlier one wanted and nobody read gives way. */
  takePlan(table: string, notes: Record<string, string>, says: string): string | null {
    const { rows, notes: before } = this.state;
    putFile(ONE, table);
    const wrong = this.change({
      says,
      notes: { ...before, ...notes },
      rows: [...rows.filter((row) => isTaken(row) || !(row.trial in before)), ...sheetRows(ONE)],
    });
    this.current = this.nextUnread();
    return wrong;
  }

  /** The moves on the card become known moves of the job; readings from then on are of the round after them. */
  madeMoves(): string | null {
    const { job, rows, answer } = this.state;
    if (!answer || answer.round === "") return null;
    return this.change({
      job: withRound(job, answer.round),
      rows: rows.filter(isTaken),
      notes: {},
      says: "",
    });
  }

  /** Takes files in the place of what is here. @throws JobError as the command line does, with nothing changed */
  take(files: Readonly<Record<string, Uint8Array>>): void {
    const names = Object.keys(files);
    const job =
      JOB_FILES.find((name) => name in files) ?? names.find((name) => /^job.*\.(ya?ml|json)$/i.test(name));
    const table = names.find((name) => /\.csv$/i.test(name));
    const bytes = (name: string | undefined): Uint8Array =>
      name === undefined ? NO_BYTES : (files[name] ?? NO_BYTES);
    const text = (name: string): string => new TextDecoder().decode(bytes(name));
    const jobFile =
      job === undefined ? this.state.jobFile : (JOB_FILES.find((name) => name === job) ?? "job.yaml");
    const others = {
      ...(job === undefined ? this.state.others : {}),
      ...Object.fromEntries(
        names.filter((name) => name !== job && name !== table).map((name) => [name, text(name)]),
      ),
    };
    const folder = this.state.folder || "job";
    // As bytes, so that what is not UTF-8 is refused and not repaired.
    holdFiles(folder, {
      ...filesOf(this.state),
      ...others,
      ...(job === undefined ? {} : { [jobFile]: bytes(job) }),
      ...(table === undefined ? {} : { [TRIALS_FILE]: bytes(table) }),
    });
    loadJob(".");
    const rows = table === undefined ? this.state.rows : sheetRows(TRIALS_FILE);
    const jobText = job === undefined ? this.state.job : text(job);
    this.#load({ ...this.state, folder, jobFile, job: jobText, others, rows, notes: {}, says: "" });
    this.current = this.nextUnread();
    this.keep();
  }
}

const NOTHING_READ = { value: "", low: "", high: "" } as const;
const NO_BYTES = new Uint8Array();

/** The files of the folder, the table with what was read alone. */
export const filesOf = ({ jobFile, job, others, rows }: SheetState): Record<string, string> => ({
  ...others,
  [jobFile]: job,
  [TRIALS_FILE]: tableOf(rows.filter(isTaken)),
});

/** An error's sentences without their places in a file, which a form does not show. */
const sentencesOf = (error: Error): string =>
  error instanceof JobError
    ? error.faults
        .map(
          ({ sentence, example }) =>
            `${sentence} Right would be: ${example === "" ? "(left empty)" : example}`,
        )
        .join("\n")
    : error.message;
