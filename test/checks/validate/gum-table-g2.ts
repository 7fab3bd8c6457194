import { tQuantile } from "../../../src/core/numeric/student-t.js";
import { type Check, compareRows, number, printedTo, published, type Row } from "./check.js";

interface File {
  percent: number[];
  rows: [number | "inf", ...number[]][];
}

/** Degrees of freedom whose row is kept to three decimals. */
const THREE_DECIMALS = new Set([100, Infinity]);

/** JCGM 100, table G.2: every entry, column by column. */
export function checks(): Check[] {
  const { percent, rows } = published<File>("gum-table-g2");
  const columns = percent.map((p, column): Row[] =>
    rows.map(([label, ...entries]) => {
      const nu = number(label);
      const printed = entries[column]!;
      const ours = tQuantile((1 + p / 100) / 2, nu);
      return [`${p}-${label}`, `t for ${p} %, ν = ${label}`, printed, ours, toleranceOf(nu, p)];
    }),
  );
  return compareRows("gum-g.2", "JCGM 100:2008, table G.2 (recomputed; twelve entries read)", columns.flat());
}

/** The entry for ν = 1 at 99.73 % is printed 235.80, the exact value is 235.78. */
function toleranceOf(nu: number, p: number): number {
  if (nu === 1 && p === 99.73) return 0.02;
  return printedTo(THREE_DECIMALS.has(nu) ? 3 : 2);
}
