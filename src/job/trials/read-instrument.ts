import type { Instrument, ReadQuantity } from "../../readings/instrument.js";
import { listed } from "../words.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** The instrument of a row, one that reads what the row says. */
export function readInstrument(
  row: Row,
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
