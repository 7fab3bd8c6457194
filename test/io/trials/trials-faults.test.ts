import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import { mendedTable } from "../../checks/fuzz/mended.js";
import { MARK, TRIAL_CASES } from "../fault-cases/trial-cases.js";
import { FULL } from "../good-job.js";
import { HEADING } from "../good-trials.js";
import { faultsOf, inFolder } from "../in-folder.js";

const job = loadJob(inFolder({ "job.yaml": FULL }));
const faultsIn = (table: string) => faultsOf(() => loadTrials(inFolder({ "trials.csv": table }), job));
const tableOf = (...rows: string[]): string => `${[HEADING, ...rows].join("\n")}\n`.replaceAll(MARK, "");

describe("a fault in a table of trials", () => {
  it.each(TRIAL_CASES)("is found and placed: $fault", ({ row, says, fault }) => {
    const folder = inFolder({ "trials.csv": tableOf(row) });
    const faults = faultsOf(() => loadTrials(folder, job));
    const column = fault.startsWith("a row") ? 0 : row.slice(0, row.indexOf(MARK)).split(",").length;
    const field = HEADING.split(",")[column - 1] ?? "";
    expect(faults).toMatchObject([{ file: join(folder, "trials.csv"), line: 2, column, field }]);
    expect(faults[0]!.sentence).toMatch(says);
    expect(faults[0]!.sentence).toMatch(/\.$/);
  });

  it.each(TRIAL_CASES)("has an example that mends it: $fault", ({ row, half }) => {
    const [fault] = faultsIn(tableOf(row));
    const left = faultsIn(mendedTable(tableOf(row), fault!));
    if (half) expect(left.map(({ field }) => field)).not.toContain(fault!.field);
    else expect(left).toEqual([]);
  });

  const good = "r,1,,cell,key-1.end-left,gap,toe,0.04,,,mm,loupe,";

  it("is a doubled id, which names the first", () => {
    const table = tableOf(good, good.replace("r,1", "s,1"), good);
    const faults = faultsIn(table);
    expect(faults).toMatchObject([{ line: 4, column: 1, field: "id", example: "r-2" }]);
    expect(faults[0]!.sentence).toMatch(/line 2 has this id already/);
    expect(faultsIn(mendedTable(table, faults[0]!))).toEqual([]);
  });

  it("is a trial cut at two set-ups", () => {
    const row = "s,1,diagonal-end,none,end-left,angle,,45,,,deg,angle-gauge,";
    const faults = faultsIn(tableOf(good, row));
    expect(faults).toMatchObject([{ line: 3, column: 2, field: "trial" }]);
    expect(faults[0]!.sentence).toMatch(/line 2 has the same trial with a whole cell/);
    expect(faultsIn(mendedTable(tableOf(good, row), faults[0]!))).toEqual([]);
  });

  it("is a missing or doubled or unknown column", () => {
    const told = (heading: string) =>
      faultsIn(`${heading}\n`).map(({ line, column, field, sentence }) => [line, column, field, sentence]);
    expect(told(HEADING.replace(",joint", "").replace(",unit", ""))).toEqual([
      [1, 0, "", expect.stringMatching(/lacks the columns joint and unit; it needs id, trial/)],
    ]);
    expect(told(HEADING.replace("note", "unit"))).toEqual([
      [1, 13, "unit", expect.stringMatching(/unit is in columns 11 and 13; each column is there once/)],
    ]);
    expect(told(HEADING.replace("note", "nots"))).toEqual([
      [1, 13, "nots", expect.stringMatching(/“nots” is not known. Did you mean note\? The columns are id/)],
    ]);
    expect(told(HEADING.replace(",value,low,high", ""))).toEqual([
      [1, 0, "", expect.stringMatching(/no column for what was read/)],
    ]);
    expect(told("").at(0)).toEqual([1, 0, "", expect.stringMatching(/empty/)]);
  });

  it("is a column that the row needs and the table does not have", () => {
    const table = tableOf(good).replace("what,at,value", "what,value").replace("gap,toe,", "gap,");
    expect(faultsIn(table)).toMatchObject([{ line: 2, column: 0, field: "at" }]);
    const noPlace = "r,1,,none,key-1,length,24.4,,,mm,caliper,";
    expect(faultsIn(`${HEADING.replace("at,", "")}\n${noPlace}\n`)).toEqual([]);
  });

  it("is a quotation mark left open or closed too soon", () => {
    expect(faultsIn(tableOf(good, `${good.slice(1)}"left open`, "s,1"))).toMatchObject([{ line: 3 }]);
    expect(faultsIn(tableOf(good, `${good}"so" it seems`))).toMatchObject([{ line: 3, column: 0 }]);
  });

  it("does not hide others: all are told, in the order of the table", () => {
    const faults = faultsIn(
      tableOf(
        "r1,1,diagonal-strt,corner-90,start-left,gap,toe,,0.07,0.05,deg,feler,",
        good,
        "r,2,,cel,start-lft,gp,tow,,,,mm,lupe,",
        "r4,3",
      ),
    );
    expect(faults.map(({ line, field }) => `${line} ${field}`)).toEqual([
      ...["2 set-up", "2 unit", "2 instrument", "4 id", "4 bench", "4 what", "4 value", "4 instrument", "5 "],
    ]);
  });
});
