import { tQuantile } from "../../../src/core/numeric/student-t.js";
import { type Check, compareRows, number, printedTo, published, type Row } from "./check.js";

interface File {
  percent: number[];
  rows: [number | "inf", ...number[]][];
}

/** Degrees of freedom whose row is kept to three decimals. */
const THREE_DECIMALS = new Set([100, Infinity]);

/** The entries that were read in the table, by percentage and degrees of freedom; all others were computed. */
const READ = new Set([
  "68.27-1",
  "95-1",
  "99.73-1",
  "99.73-2",
  "99.73-5",
  "90-10",
  "90-20",
  "95-19",
  "95-16",
  "95.45-16",
  "99-16",
]);

/** JCGM 100, table G.2: every entry, column by column. */
export function checks(): Check[] {
  const { percent, rows } = published<File>("gum-table-g2");
  const columns = percent.map((p, column): Row[] =>
    rows.map(([label, ...entries]) => {
      const nu = number(label);
      const printed = entries[column]!;
      const ours = tQuantile((1 + p / 100) / 2, nu);
      const kind = READ.has(`${p}-${label}`) ? "printed" : "recomputed";
      return [`${p}-${label}`, `t for ${p} %, ν = ${label}`, printed, ours, toleranceOf(nu, p), kind];
    }),
  );
  return compareRows(
    "gum-g.2",
    { document: "JCGM 100:2008", place: "table G.2", kind: "recomputed" },
    columns.flat(),
  );
}

/** The entry for ν = 1 at 99.73 % is printed 235.80, the exact value is 235.78. */
function toleranceOf(nu: number, p: number): number {
  if (nu === 1 && p === 99.73) return 0.02;
  return printedTo(THREE_DECIMALS.has(nu) ? 3 : 2);
}
