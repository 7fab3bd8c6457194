import { type Instrument, PLACES, type Place, type ReadQuantity } from "../../readings/instrument.js";
import { listed } from "../words.js";
import type { Row } from "./row.js";

/** Where along its joint a gap was read; an empty cell takes the only place that the instrument reaches. */
export function readPlace(
  row: Row,
  what: ReadQuantity | undefined,
  instrument: Instrument | undefined,
): Place | undefined {
  const typed = row.get("at");
  if (what === undefined) return undefined;
  if (what !== "gap") {
    if (typed === "") return undefined;
    const article = what === "angle" ? "an" : "a";
    const rule = "only gaps are read at toe, heel or widest, so leave this empty";
    return row.refuse("at", { problem: `${article} ${what} has no place along a joint`, rule }, "");
  }
  const reach = instrument?.reach ?? PLACES;
  if (typed === "" && reach.length === 1) return reach[0];
  const place = row.word("at", "place along a joint", PLACES, reach[0]);
  if (place === undefined || reach.includes(place)) return place;
  const problem = `${instrument!.name} cannot tell the gap at ${place === "widest" ? "its widest" : `the ${place}`}`;
  return row.refuse("at", { problem, rule: `the job says that it reaches only ${listed(reach)}` }, reach[0]!);
}
