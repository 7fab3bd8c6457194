import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { loadBatchTable } from "../../src/features/batch/batch-table.js";
import { loadGaugeTable } from "../../src/features/gauge/gauge-table.js";
import { mendedTable } from "../checks/fuzz/mended.js";
import { faultsOf, inFolder } from "./in-folder.js";

const tableFile = (text: string): string => join(inFolder({ "t.csv": text }), "t.csv");
const gauge = (text: string) => loadGaugeTable(tableFile(text));
const batch = (text: string) => loadBatchTable(tableFile(text));

describe("a table of repeated readings", () => {
  it("is sorted by instrument, in mm and rad", () => {
    const tables = gauge(
      "Reader,part,value,unit,instrument\nAiko,1,2 3/8,in,caliper\nBen,1,45.5,deg,gauge\nAiko,2,1.5,,caliper\n",
    );
    expect(tables.map(({ instrument, kind }) => [instrument, kind])).toEqual([
      ["caliper", "length"],
      ["gauge", "angle"],
    ]);
    expect(tables[0]!.readings).toEqual([
      { part: "1", reader: "Aiko", value: 60.325 },
      { part: "2", reader: "Aiko", value: 1.5 },
    ]);
    expect(tables[1]!.readings[0]!.value).toBeCloseTo((45.5 * Math.PI) / 180, 14);
  });

  it("needs no reader, and takes a decimal comma between semicolons", () => {
    const [table] = gauge("part;value\na;0,05\na;-0,02\n");
    expect(table!.readings.map(({ value, reader }) => [reader, value])).toEqual([
      ["one reader", 0.05],
      ["one reader", -0.02],
    ]);
  });
});

describe("a table of a batch", () => {
  it("keeps its pieces in the order of cutting", () => {
    const table = batch("id,piece,length\nfirst,Hinge-1,44.1\n,hinge-1,44.2 mm\n");
    expect(table).toEqual({
      file: expect.stringMatching(/t\.csv$/),
      what: "length",
      units: "mm",
      rows: [
        { id: "first", piece: "hinge-1", value: 44.1 },
        { id: "2", piece: "hinge-1", value: 44.2 },
      ],
    });
  });

  it("may be of gaps, in thousandths of an inch", () => {
    const table = batch("gap,unit\n0,thou\n2,thou\n");
    expect([table.what, table.units]).toEqual(["gap", "in"]);
    expect(table.rows[1]!.value).toBeCloseTo(0.0508, 12);
  });
});

describe("what is wrong in a small table is said with its place, and the example mends it", () => {
  it.each<[string, (text: string) => unknown, string, number, number, RegExp]>([
    ["a value that is no number", gauge, "part,value\n1,1.0\n1,abc\n1,2\n2,1\n2,2\n", 3, 2, /^Value: /],
    ["nothing read", gauge, "part,value\n1,\n1,2\n", 2, 2, /^Value: nothing is written/],
    [
      "a part without a name",
      gauge,
      "part,value\n,1\n",
      2,
      1,
      /^Part: nothing is written; every row names its part/,
    ],
    [
      "a unit that is none",
      gauge,
      "part,value,unit\n1,2,furlong\n",
      2,
      3,
      /^Unit: there is no such unit; .*“furlong”/,
    ],
    [
      "an instrument that changes its kind",
      gauge,
      "part,value,unit\n1,2,mm\n1,2,deg\n",
      3,
      3,
      /an earlier row has “mm”/,
    ],
    [
      "too many entries",
      gauge,
      "part,value\n1,1,4\n",
      2,
      0,
      /^The row has 3 entries and the table 2 columns/,
    ],
    ["a length below nothing", batch, "id,length\na,-3\n", 2, 2, /^Length: /],
    ["an angle", batch, "id,length,unit\na,3,deg\n", 2, 3, /^Unit: it is a unit of angle; a length is in/],
  ])("%s", (_, load, text, line, column, says) => {
    const faults = faultsOf(() => load(text));
    expect(faults).toMatchObject([{ line, column, sentence: expect.stringMatching(says) }]);
    expect(faultsOf(() => load(mendedTable(text, faults[0]!)))).toEqual([]);
  });

  it.each<[string, (text: string) => unknown, string, RegExp]>([
    ["a heading misspelt", gauge, "part,valeu\n1,2\n", /“valeu” is not known. Did you mean value\?/],
    ["a heading twice", gauge, "part,value,part\n1,2,3\n", /part is in columns 1 and 3/],
    ["a column too few", gauge, "part\n1\n", /lacks the column value/],
    ["nothing at all", gauge, "", /The table is empty/],
    ["headings alone", gauge, "part,value\n", /headings and no readings/],
    ["no measured column", batch, "id,note\na,b\n", /no column for what was measured/],
    ["two measured columns", batch, "length,gap\n3,0.1\n", /lengths and gaps/],
    ["headings alone", batch, "length\n", /headings and no pieces/],
    ["a quotation mark left open", batch, 'id,length\n"a,3\n', /quotation mark/],
  ])("%s", (_, load, text, says) => {
    const sentences = faultsOf(() => load(text)).map(({ sentence }) => sentence);
    expect(sentences.join(" ")).toMatch(says);
  });
});
