import type { SetUp } from "../../cutting/shop.js";
import type { BenchName } from "../../lattice/bench-named.js";
import { benchNames } from "../../lattice/bench-names.js";
import { LatticeError } from "../../lattice/lattice-error.js";
import type { ReadQuantity } from "../../readings/instrument.js";
import type { ReadingBench } from "../../readings/reading.js";
import type { Row } from "./row.js";
import type { Workshop } from "./workshop.js";

/** The set-up that cut the trial piece; `null` for a whole cell and its pieces, `undefined` after noting a fault. */
export function readSetUp(
  row: Row,
  shop: Workshop,
  bench: ReadingBench | undefined,
  what: ReadQuantity | undefined,
): SetUp | null | undefined {
  const { setUps } = shop.job;
  const typed = row.get("set-up");
  const onBench = bench !== undefined && bench !== "cell" && bench !== "none";
  if (typed === "") {
    if (!onBench || what !== "gap") return null;
    const suited = setUps.find((setUp) => !(shop.bench(bench, setUp) instanceof LatticeError));
    const problem = "nothing is written";
    const rule = `a piece on the bench ${bench} was cut at one set-up, and the row names it`;
    return row.refuse("set-up", { problem, rule }, suited?.name ?? setUps[0]?.name ?? "");
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

function requireSuited(row: Row, shop: Workshop, bench: BenchName, setUp: SetUp): void {
  const made = shop.bench(bench, setUp);
  if (!(made instanceof LatticeError)) return;
  const suited = benchNames(shop.job.arrangement).find(
    (name) => !(shop.bench(name, setUp) instanceof LatticeError),
  );
  const problem = `it does not suit the set-up ${setUp.name}`;
  const rule = made.message.replace(/\.$/, "").replace(/^[A-Z]/, (first) => first.toLowerCase());
  row.refuse("bench", { problem, rule }, suited ?? "straightedge");
}
