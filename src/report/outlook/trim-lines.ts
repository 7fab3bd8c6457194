import type { Outlook } from "../../outlook/job-outlook.js";
import { TRIM_QUANTILES, type TrimOutlook } from "../../outlook/trim-outlook.js";
import { signed, smallLength } from "../text/shop-numbers.js";
import { textTable, wrapped } from "../text/text-table.js";
import { percentText } from "./percent-text.js";

/** What comes off the pieces of cells to come, for reading. */
export function trimLines({ job, unfitted }: Outlook, trims: readonly TrimOutlook[]): string[] {
  const { units } = job;
  const length = (mm: number): string => signed(smallLength(mm, units));
  return [
    "WHAT COMES OFF, from pieces cut at the stops as the job describes them",
    textTable(
      [
        "fitted together",
        "too short as cut",
        ...TRIM_QUANTILES.map((p) => `${Math.round(100 * p)} % at most`),
      ],
      trims.map(({ group, tooShort, wanted }) => [
        group,
        percentText(tooShort),
        ...wanted.map(({ value }) => length(value)),
      ]),
      [1, 2, 3, 4, 5],
    ),
    wrapped(
      "Change of length at which the pieces fit: minus comes off, plus would have to be there. Too short: the piece goes in looser than the snug limit and cannot be lengthened. A stop set longer by the last column leaves one piece in a hundred too short.",
    ),
    ...(unfitted === 0
      ? []
      : [
          wrapped(
            `${unfitted.toLocaleString("en")} times pieces could not be fitted at any length within a quarter of their own: the errors drawn are too large, and those cells say nothing.`,
          ),
        ]),
  ];
}
