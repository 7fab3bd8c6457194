import type { Job } from "../../job/job.js";
import type { FittedGroup } from "../../predict/fitting/fit-lengths.js";
import { signed, smallLength } from "./shop-numbers.js";
import { textTable, wrapped } from "./text-table.js";

/** What was done to each piece that was fitted by trial, for reading. */
export function trimTable(groups: readonly FittedGroup[], { units, limits }: Job): string[] {
  const length = (mm: number): string => smallLength(mm, units);
  const short = groups.filter(({ wanted }) => wanted > 0).flatMap(({ pieces }) => pieces);
  const jumped = groups.filter(({ status }) => status === "jumped").map(({ name }) => name);
  return [
    `Each piece fitted by trial to ${length(limits.snug)} press, in this order; what its end takes, as against the length it was cut to`,
    textTable(
      ["piece", "change of length", "pressed by", ""],
      groups.flatMap(({ pieces, offset, press }) =>
        pieces.map((piece) => [
          piece,
          signed(length(offset)),
          length(press),
          offset > 0 ? "would have to be longer" : "comes off",
        ]),
      ),
      [1, 2],
    ),
    ...(short.length === 0
      ? []
      : [
          "",
          wrapped(
            `Shorter as cut than fits so: ${short.join(", ")}. No piece can be lengthened: the gaps above are those of pieces that start longer by that much; left as they are, they go in looser.`,
          ),
        ]),
    ...(jumped.length === 0
      ? []
      : [wrapped(`Fitted just short of where the pieces snap into another place: ${jumped.join(", ")}.`)]),
  ];
}
