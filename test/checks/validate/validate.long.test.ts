import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { afterEach, describe, expect, it, vi } from "vitest";
import { SPECIES } from "../../../src/model/wood/species.js";
import {
  type Check,
  compare,
  isDone,
  isSkipped,
  type Outcome,
  PUBLISHED_FOLDER,
  type PublishedSource,
  printedTo,
  published,
  skipRows,
} from "./check.js";
import { CHECK_GROUPS } from "./groups.js";
import { runValidation } from "./main.js";
import { validationTable } from "./report.js";
import { checks as areas } from "./seating-areas.js";
import { checks as programme } from "./seating-programme.js";

const GROUPS = await Promise.all(
  CHECK_GROUPS.map(async ({ title, rule, checks }) => {
    const outcomes = await checks();
    return { title, rule, checks: outcomes.filter(isDone), outcomes };
  }),
);
const ALL = GROUPS.flatMap((group) => group.checks);

describe("outside checks", () => {
  it("are all made where the libraries that only checks need are installed", () => {
    expect(GROUPS.flatMap(({ outcomes }) => outcomes.filter(isSkipped))).toEqual([]);
  });

  it.each(GROUPS.map((group) => [group.title, group.checks] as const))("%s", (_, checks) => {
    expect(checks.length).toBeGreaterThan(0);
    expect(checks.filter((check) => !check.pass)).toEqual([]);
  });

  it("each has its own name, a source, and figures that are numbers", () => {
    expect(new Set(ALL.map((check) => check.id)).size).toBe(ALL.length);
    for (const check of ALL) {
      expect(check.source.length).toBeGreaterThan(5);
      expect([check.published, check.ours, check.tolerance].every(Number.isFinite), check.id).toBe(true);
    }
  });

  it("no tolerance swallows its figure: moved by a fifth, nearly every row would miss", () => {
    const caught = ALL.filter((check) => check.published !== 0 && check.kind !== "self-consistency").map(
      (check) => !compare({ ...check, ours: check.ours + 0.2 * Math.abs(check.published) }).pass,
    );
    expect(caught.filter(Boolean).length / caught.length).toBeGreaterThan(0.95);
  });

  it("say of what kind they are; at least 450 are printed figures, from at least 15 documents, and none of those is named as remembered", () => {
    const printed = ALL.filter(({ kind }) => kind === "printed");
    expect(printed.length).toBeGreaterThanOrEqual(450);
    expect(new Set(printed.map(({ document }) => document)).size).toBeGreaterThanOrEqual(15);
    for (const { quantity, source } of printed) {
      expect(quantity).not.toMatch(/recomputed|remembered|from memory/);
      if (!source.includes("its species and moistures")) expect(source).not.toMatch(/from memory/);
    }
    for (const { kind, quantity } of ALL)
      if (kind === "remembered" || kind === "recomputed") expect(quantity).toContain(kind);
  });

  it.each([2, 5])(
    "of areas pass with the cells of seed %i, one of which is hardly pressed, as well",
    async (seed) => {
      const rows = (await areas(undefined, seed)).filter(isDone);
      expect(rows).toHaveLength(5);
      expect(rows.filter(({ pass }) => !pass)).toEqual([]);
      // Other cells, not the same again.
      expect(rows[1]?.published).not.toBe(ALL.find(({ id }) => id === "area/open")?.published);
    },
  );

  it("cover at least twelve species, each with its marks", () => {
    const wood = ALL.filter((check) => check.id.startsWith("wood/"));
    expect(new Set(wood.map((check) => check.id.split("/")[1])).size).toBeGreaterThanOrEqual(12);
    for (const check of wood) expect(check.source).toMatch(/read in the source|from memory/);
  });
});

describe("without the libraries that only checks need", () => {
  const missing = () =>
    Promise.reject(Object.assign(new Error("not found"), { code: "ERR_MODULE_NOT_FOUND" }));

  it.each([
    ["quadprog", programme, "seating-qp/"],
    ["polyclip-ts", areas, "area/"],
  ] as const)("%s, its rows are named and skipped", async (library, checks, prefix) => {
    const outcomes = await checks(missing);
    expect(outcomes.filter(isDone)).toEqual([]);
    expect(outcomes.map(({ id }) => id)).toEqual(
      ALL.map(({ id }) => id).filter((id) => id.startsWith(prefix)),
    );
    expect(outcomes.filter(isSkipped)[0]!.skipped).toBe(`${library} is not installed`);
  });
});

describe("comparing", () => {
  const named = { id: "x", kind: "printed", document: "none", source: "none", quantity: "x" } as const;
  const row = { ...named, published: 2.09, tolerance: printedTo(2) };

  it("passes within half a unit of the last digit and counts agreeing digits", () => {
    expect(compare({ ...row, ours: 2.0949 }).pass).toBe(true);
    expect(compare({ ...row, ours: 2.0951 }).pass).toBe(false);
    expect(compare({ ...row, ours: 2.09 * (1 + 1e-6) }).digits).toBeCloseTo(6, 6);
    expect(compare({ ...row, ours: 2.09 }).digits).toBe(15);
  });

  it("a value that is no number misses, with no digits", () => {
    for (const ours of [Number.NaN, Infinity])
      expect(compare({ ...row, ours })).toMatchObject({ pass: false, digits: 0 });
  });
});

describe("the runner", () => {
  const printed: string[] = [];
  const capture = () => {
    printed.length = 0;
    vi.spyOn(process.stdout, "write").mockImplementation((text) => printed.push(String(text)) > 0);
    vi.spyOn(process.stderr, "write").mockImplementation((text) => printed.push(String(text)) > 0);
  };
  afterEach(() => vi.restoreAllMocks());
  const named = { id: "a", kind: "printed", document: "d", source: "s", quantity: "q|r" } as const;
  const pass: Check = compare({ ...named, published: 1, ours: 1, tolerance: 0 });
  const miss: Check = compare({ ...pass, ours: 2 });
  const group = (...checks: Outcome[]) => ({ title: "t", rule: "r", checks: () => checks });

  it("exits 0 when all pass, 1 on a miss, on no group and on an empty group", async () => {
    capture();
    expect(await runValidation([], [group(pass)])).toBe(0);
    expect(await runValidation([], [group(pass, miss)])).toBe(1);
    expect(printed.at(-2)).toMatch(/2 rows, 1 pass, 1 miss\. [\s\S]*\*\*MISS\*\*/);
    expect(printed.at(-1)).toBe("2 rows, 1 pass, 1 miss. Printed figures: 2 from 1 source.\nMISS a\n");
    expect(await runValidation([], [])).toBe(1);
    expect(await runValidation([], [group(pass), group()])).toBe(1);
  });

  it("names and counts what it skips, leaves it out of the JSON, and does not pass on nothing else", async () => {
    capture();
    const skipped = skipRows(
      "g",
      { document: "s", kind: "other library" },
      [["x", "area", 1]],
      "some library",
    );
    expect(await runValidation([], [group(pass, ...skipped)])).toBe(0);
    expect(printed[0]).toMatch(/2 rows, 1 pass, 0 miss, 1 skipped \(some library is not installed\)\./);
    expect(printed[0]).toMatch(/\| area \| s \| other library \| \| \| \| \| skipped \|/);
    expect(printed[1]).toMatch(/\nskipped g\/x: some library is not installed\n$/);
    await runValidation(["--json"], [group(pass, ...skipped)]);
    expect(JSON.parse(printed[2]!)).toEqual([pass]);
    expect(await runValidation([], [group(...skipped)])).toBe(1);
  });

  it("counts a group that breaks off as a miss, and runs the others", async () => {
    capture();
    const broken = {
      ...group(),
      title: "b",
      checks: () => {
        throw new Error("no rest");
      },
    };
    expect(await runValidation(["--json"], [broken, group(pass)])).toBe(1);
    const rows = JSON.parse(printed[0]!) as Check[];
    expect(rows[0]).toMatchObject({ id: "broken/b", published: 1, ours: 0, pass: false });
    expect(rows[0]!.quantity).toContain("no rest");
    expect(rows[1]).toEqual(pass);
  });

  it("prints JSON, writes the table where it is told to, and explains itself", async () => {
    capture();
    const folder = mkdtempSync(join(tmpdir(), "validate-"));
    expect(await runValidation(["--json", "--write", join(folder, "docs/table.md")], [group(pass)])).toBe(0);
    expect(JSON.parse(printed[0]!)).toEqual([pass]);
    expect(readFileSync(join(folder, "docs/table.md"), "utf8")).toMatch(
      /\| q\\\|r \| s \| printed \| 1 \| 1 \| 0 \| 15.0 \| pass \|/,
    );
    rmSync(folder, { recursive: true });
    expect(await runValidation(["--help"], [])).toBe(0);
    expect(await runValidation(["--nonsense"], [group(pass)])).toBe(2);
  });

  it("docs/validation.md is up to date: it has a line for every check", () => {
    const doc = readFileSync(resolve(import.meta.dirname, "../../../docs/validation.md"), "utf8");
    const lines = (text: string) =>
      text
        .split("\n")
        .filter((line) => /\| (pass|\*\*MISS\*\*) \|$/.test(line))
        .map((line) => line.split(" | ")[0]);
    expect(lines(doc)).toEqual(lines(validationTable(GROUPS)));
  });
});

describe("published figures", () => {
  const names = readdirSync(PUBLISHED_FOLDER)
    .filter((name) => name.endsWith(".json"))
    .map((name) => name.slice(0, -5));
  const WORDS = ["read in the source", "recomputed", "from memory", "see each row"];

  it.each(names)("%s names its document, its place and how it came here", (name) => {
    const { source } = published<{ source: PublishedSource }>(name);
    expect(source.document.length).toBeGreaterThan(10);
    expect(source.place.length).toBeGreaterThan(2);
    const marks = Object.values(source.marks).flat();
    expect(marks.length).toBeGreaterThan(0);
    for (const mark of marks) expect(WORDS).toContain(mark);
  });

  it("NIST's 9 degrees of freedom for Rat43 do not give its certified standard deviation; 11 do", () => {
    const { certified, data } = published<{
      certified: {
        residualSumOfSquares: number;
        residualStandardDeviation: number;
        degreesOfFreedom: number;
      };
      data: number[][];
    }>("nist-rat43");
    const s = (dof: number) => Math.sqrt(certified.residualSumOfSquares / dof);
    expect(certified.degreesOfFreedom).toBe(data.length - 4);
    expect(s(11) / certified.residualStandardDeviation).toBeCloseTo(1, 9);
    expect(s(9) / certified.residualStandardDeviation).not.toBeCloseTo(1, 2);
  });

  it("the species of the project are those of the file, figure by figure", () => {
    type Row = {
      name: string;
      coefficientRadial: number;
      coefficientTangential: number;
      shrinkageRadial: number;
      shrinkageTangential: number;
      shrinkageStartsAt: number;
      marks: { radial: string[]; tangential: string[]; shrinkage: string[] };
    };
    const { species } = published<{ species: Row[] }>("wood-handbook");
    const mark = (words: string[]) =>
      words.length === 2 ? "from memory, recomputed from the shrinkage" : words[0]!;
    expect(
      SPECIES.map(({ name, radial, tangential, shrinkageMark, startsAt }) => ({
        name,
        radial,
        tangential,
        shrinkageMark,
        startsAt,
      })),
    ).toEqual(
      species.map((row) => ({
        name: row.name,
        radial: {
          coefficient: row.coefficientRadial,
          shrinkage: row.shrinkageRadial,
          mark: mark(row.marks.radial),
        },
        tangential: {
          coefficient: row.coefficientTangential,
          shrinkage: row.shrinkageTangential,
          mark: mark(row.marks.tangential),
        },
        shrinkageMark: mark(row.marks.shrinkage),
        startsAt: row.shrinkageStartsAt,
      })),
    );
  });
});
