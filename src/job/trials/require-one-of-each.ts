import type { Row } from "./row.js";

/** Notes an id that stands twice, and a trial whose rows name two set-ups: the pieces of one trial were cut at one. */
export function requireOneOfEach(rows: readonly Row[], setUpNames: readonly string[]): void {
  const ids = new Map<string, Row>();
  const setUps = new Map<string, Row>();
  const known = new Set(setUpNames.map((name) => name.toLowerCase()));
  for (const row of rows) {
    const id = row.get("id");
    const first = ids.get(id);
    if (first === undefined) ids.set(id, row);
    else if (id !== "") {
      const problem = `line ${first.line} has this id already`;
      row.refuse("id", { problem, rule: "each reading has an id of its own" }, freeId(id, ids));
    }
    requireOneSetUp(row, setUps, known);
  }
}

function requireOneSetUp(row: Row, firsts: Map<string, Row>, known: ReadonlySet<string>): void {
  const trial = row.get("trial");
  // A whole cell has pieces of every set-up.
  const ofCell = row.get("bench").toLowerCase() === "cell";
  const setUp = row.get("set-up").toLowerCase();
  if (trial === "" || (ofCell ? setUp !== "" : !known.has(setUp))) return;
  const first = firsts.get(trial);
  if (first === undefined) firsts.set(trial, row);
  else if (first.get("set-up").toLowerCase() !== setUp) {
    const earlier = first.get("set-up");
    const problem = `line ${first.line} has the same trial with ${earlier === "" ? "a whole cell" : `the set-up ${earlier}`}`;
    const rule = "the readings of one trial are of the same pieces, so give this one a trial of its own";
    row.refuse("trial", { problem, rule }, `${trial}-${row.line}`);
  }
}

function freeId(id: string, taken: ReadonlyMap<string, Row>): string {
  for (let next = 2; ; next++) if (!taken.has(`${id}-${next}`)) return `${id}-${next}`;
}
