import type { SheetAnswer } from "../answer.js";
import type { SheetRow } from "../readings-table.js";

/** All that the page knows: what is typed is kept here, and nothing else is. */
export interface SheetState {
  /** Name of the job's folder; empty while there is no shop. */
  folder: string;
  /** Name and text of the job file; its text is empty while there is no shop. */
  jobFile: string;
  job: string;
  /** Further files that the job names: records, a pattern of its own. */
  others: Record<string, string>;
  rows: SheetRow[];
  /** What the plan says of itself and of each of its trials. */
  notes: Record<string, string>;
  says: string;
  answer: SheetAnswer | null;
  /** The files that the answer is of, so that a later change shows. */
  answered: string;
  view: ViewName;
}

export const VIEWS = ["shop", "readings", "answer", "files"] as const;
export type ViewName = (typeof VIEWS)[number];

/** What the command wrote into the page. */
export interface SheetStart {
  readonly folder: string;
  readonly jobFile: string;
  readonly files: Readonly<Record<string, string>>;
  readonly units: "mm" | "in";
}

const EMPTY: SheetState = {
  folder: "",
  jobFile: "job.yaml",
  job: "",
  others: {},
  rows: [],
  notes: {},
  says: "",
  answer: null,
  answered: "",
  view: "shop",
};

export const emptyState = (): SheetState => structuredClone(EMPTY);

/** Pages of one place share a store, so each keeps its own under its path and what it was written with. */
const keyOf = (start: SheetStart): string =>
  `sukima sheet ${location.pathname} ${fingerprint(JSON.stringify(start.files))}`;

/** 32-bit FNV-1a (G. Fowler, L. C. Noll and K.-P. Vo), from memory; only to tell texts apart. */
function fingerprint(text: string): string {
  let hash = 0x811c9dc5;
  for (let i = 0; i < text.length; i++) hash = Math.imul(hash ^ text.charCodeAt(i), 0x01000193);
  return (hash >>> 0).toString(16);
}

/** What was kept; `null` when there is nothing, or it cannot be read. */
export function keptState(start: SheetStart): SheetState | null {
  try {
    const kept = localStorage.getItem(keyOf(start));
    return kept === null ? null : { ...emptyState(), ...(JSON.parse(kept) as SheetState) };
  } catch {
    return null;
  }
}

/** Keeps the state; `false` when the browser refuses. */
export function keepState(start: SheetStart, state: SheetState): boolean {
  try {
    localStorage.setItem(keyOf(start), JSON.stringify(state));
    return true;
  } catch {
    return false;
  }
}
