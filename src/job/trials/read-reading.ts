import { benchNames } from "../../lattice/bench-names.js";
import { QUANTITIES, type ReadQuantity } from "../../readings/instrument.js";
import type { Reading, ReadingBench } from "../../readings/reading.js";
import { readAmounts } from "./read-amounts.js";
import { readInstrument } from "./read-instrument.js";
import { readPlace } from "./read-place.js";
import { readSetUp } from "./read-set-up.js";
import { readSide } from "./read-side.js";
import { readSubject } from "./read-subject.js";
import { readUnit } from "./read-unit.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** The reading in a row, or `undefined` after noting everything that is wrong with it. */
export function readReading(row: Row, shop: Workshop): Reading | undefined {
  const before = shop.faults.count;
  const benches: readonly ReadingBench[] = [...benchNames(shop.job.arrangement), "cell", "none"];
  const id = nameIn(row, "id", `r${row.line}`);
  const trial = nameIn(row, "trial", "1");
  const what = row.word("what", "quantity", QUANTITIES);
  const bench = row.word("bench", "bench", benches, what === "gap" ? "cell" : "none");
  if (what !== undefined && bench !== undefined) requireBenchFor(row, what, bench);
  const setUp = readSetUp(row, shop, bench, what);
  const round = readRound(row, shop);
  const instrument = readInstrument(row, shop, what);
  const place = readPlace(row, what, instrument);
  const side = readSide(row, shop, what);
  const subject = readSubject(row, shop, { what, bench, setUp, place });
  const unit = readUnit(row, shop, what);
  const amounts = readAmounts(row, shop, { what, instrument, unit, subject, setUp });
  if (shop.faults.count > before || !what || !bench || !instrument || !amounts) return undefined;
  return {
    ...{ id: id!, line: row.line, trial: trial!, setUp: setUp?.name ?? null, round, bench, what },
    ...{ subject: subject ?? null, at: place ?? null, ...(side && { side }), ...amounts },
    ...{ instrument: instrument.name, note: row.get("note") },
  };
}

/** The round that a row names; `null` before any known move. */
function readRound(row: Row, { job }: Workshop): string | null {
  if (row.get("round") === "") return null;
  const names = job.rounds.map(({ name }) => name);
  return row.word("round", "round in this job", names) ?? null;
}

const LONGEST_NAME = 60;

function nameIn(row: Row, column: "id" | "trial", example: string): string | undefined {
  const name = row.get(column);
  if (name === "")
    return row.refuse(
      column,
      { problem: "nothing is written", rule: `every row has its ${column}` },
      example,
    );
  if (name.length > LONGEST_NAME || /\p{C}/u.test(name))
    return row.refuse(
      column,
      { problem: "it cannot be used", rule: `it has 1 to ${LONGEST_NAME} ordinary characters` },
      example,
    );
  return name;
}

function requireBenchFor(row: Row, what: ReadQuantity, bench: ReadingBench): void {
  if (what === "gap" && bench === "none")
    row.refuse(
      "bench",
      { problem: "a gap is not read of a piece in the hand", rule: "name the bench it lay on, or cell" },
      "cell",
    );
  if (what !== "gap" && bench !== "none") {
    const article = what === "angle" ? "an" : "a";
    const problem = `${article} ${what} is measured on the piece in the hand`;
    row.refuse("bench", { problem, rule: "its bench is none" }, "none");
  }
}
