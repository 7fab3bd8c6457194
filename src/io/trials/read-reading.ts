import { UserError } from "../../core/errors.js";
import { parseAngle, parseLength, QuantityError } from "../../core/quantity/index.js";
import { listed } from "../../core/text.js";
import { type BenchName, benchNames } from "../../model/cell/benches.js";
import {
  type Instrument,
  isAngleReading,
  QUANTITIES,
  type Reading,
  type ReadingBench,
  type ReadQuantity,
} from "../../model/readings.js";
import type { SetUp } from "../../model/shop.js";
import { readAmounts } from "./read-amounts.js";
import { readPlace, readSide, readSubject } from "./read-subject.js";
import type { TrialRow } from "./trials-csv.js";
import type { Workshop } from "./workshop.js";

/** The reading in a row, or `undefined` after noting all its faults. */
export function readReading(row: TrialRow, shop: Workshop): Reading | undefined {
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
    id: id!,
    line: row.line,
    trial: trial!,
    setUp: setUp?.name ?? null,
    round,
    bench,
    what,
    subject: subject ?? null,
    at: place ?? null,
    ...(side && { side }),
    ...amounts,
    instrument: instrument.name,
    note: row.get("note"),
  };
}

/** The round that a row names; `null` before any known move. */
function readRound(row: TrialRow, { job }: Workshop): string | null {
  if (row.get("round") === "") return null;
  const names = job.rounds.map(({ name }) => name);
  return row.word("round", "round in this job", names, names[0] ?? "(left empty)") ?? null;
}

const LONGEST_NAME = 60;

function nameIn(row: TrialRow, column: "id" | "trial", example: string): string | undefined {
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

function requireBenchFor(row: TrialRow, what: ReadQuantity, bench: ReadingBench): void {
  if (what === "gap" && bench === "none")
    row.refuse(
      "bench",
      {
        problem: "a gap cannot be read on a single piece",
        rule: "name the bench that it lay on, or cell",
      },
      "cell",
    );
  if (what !== "gap" && bench !== "none") {
    const article = what === "angle" ? "an" : "a";
    const problem = `${article} ${what} is measured on the ${what === "ramp" ? "jig" : "piece"} alone`;
    row.refuse("bench", { problem, rule: "its bench is none" }, "none");
  }
}

/** The unit of numbers without one; an empty cell means the job's unit, or degrees. */
function readUnit(row: TrialRow, { job }: Workshop, what: ReadQuantity | undefined): string | undefined {
  if (what === undefined) return undefined;
  const ofAngle = isAngleReading(what);
  const usual = ofAngle ? "deg" : job.units;
  const typed = row.get("unit").toLowerCase();
  if (typed === "") return usual;
  const [fits, other] = ofAngle ? [isAngleUnit, isLengthUnit] : [isLengthUnit, isAngleUnit];
  if (fits(typed)) return typed;
  const rule = ofAngle
    ? `${what === "angle" ? "an" : "a"} ${what} is in deg, arcmin, arcsec or rad`
    : `a ${what === "shoulder" ? "shoulder length" : what} is in mm, cm, µm, in or thou`;
  const problem = other(typed) ? `it is a unit of ${ofAngle ? "length" : "angle"}` : "there is no such unit";
  return row.refuse("unit", { problem, rule }, usual);
}

const isLengthUnit = (unit: string): boolean => accepts(() => parseLength(`1 ${unit}`, { unit: "mm" }));
const isAngleUnit = (unit: string): boolean => accepts(() => parseAngle(`1 ${unit}`));

function accepts(read: () => number): boolean {
  try {
    read();
    return true;
  } catch (error) {
    if (error instanceof QuantityError) return false;
    throw error;
  }
}

/** The instrument of a row; it must read the row's quantity. */
function readInstrument(
  row: TrialRow,
  { job }: Workshop,
  what: ReadQuantity | undefined,
): Instrument | undefined {
  const { instruments } = job;
  const able = instruments.find(({ reads }) => what === undefined || reads.includes(what))?.name;
  const name = row.word(
    "instrument",
    "instrument in this job",
    instruments.map((instrument) => instrument.name),
    able ?? instruments[0]?.name,
  );
  const instrument = instruments.find((one) => one.name === name);
  if (instrument === undefined || what === undefined || instrument.reads.includes(what)) return instrument;
  const rule = `the job says that it reads ${listed(instrument.reads)}`;
  return row.refuse(
    "instrument",
    { problem: `${instrument.name} does not read ${plural(what)}`, rule },
    able ?? `an instrument that reads ${what}`,
  );
}

const plural = (what: ReadQuantity): string => (what === "thickness" ? what : `${what}s`);

/** The set-up that cut the trial piece; `null` for a whole cell and its pieces, `undefined` after noting a fault. */
function readSetUp(
  row: TrialRow,
  shop: Workshop,
  bench: ReadingBench | undefined,
  what: ReadQuantity | undefined,
): SetUp | null | undefined {
  const { setUps } = shop.job;
  const typed = row.get("set-up");
  const onBench = bench !== undefined && bench !== "cell" && bench !== "none";
  if (typed === "") {
    if (!onBench || what !== "gap") return null;
    const suited = setUps.find((setUp) => !(shop.bench(bench, setUp) instanceof UserError));
    const problem = "nothing is written";
    const rule = `a piece on the bench ${bench} was cut at one set-up, and the row names it`;
    return row.refuse("set-up", { problem, rule }, suited?.name ?? setUps[0]?.name ?? "");
  }
  if (what === "ramp") {
    const rule = "a ramp belongs to a jig, which joint names, so leave this empty";
    return row.refuse("set-up", { problem: "a ramp is read and a set-up is named", rule }, "");
  }
  if (bench === "cell") {
    const rule = "every set-up had its share in a whole cell, so leave this empty";
    return row.refuse("set-up", { problem: "the bench is cell and a set-up is named", rule }, "");
  }
  const name = row.word(
    "set-up",
    "set-up in this job",
    setUps.map((setUp) => setUp.name),
  );
  const setUp = setUps.find((one) => one.name === name);
  if (setUp !== undefined && onBench && what === "gap") requireSuited(row, shop, bench, setUp);
  return setUp;
}

function requireSuited(row: TrialRow, shop: Workshop, bench: BenchName, setUp: SetUp): void {
  const made = shop.bench(bench, setUp);
  if (!(made instanceof UserError)) return;
  const suited = benchNames(shop.job.arrangement).find(
    (name) => !(shop.bench(name, setUp) instanceof UserError),
  );
  const problem = `it does not suit the set-up ${setUp.name}`;
  const rule = made.message.replace(/\.$/, "").replace(/^[A-Z]/, (first) => first.toLowerCase());
  row.refuse("bench", { problem, rule }, suited ?? "straightedge");
}
