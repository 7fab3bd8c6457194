import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { readAnswer } from "../../src/features/mystery/mark-answer.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTruth } from "../../src/io/records/load-truth.js";
import { parseNotebook } from "../../src/render/notebook/notebook.js";
import { LEAST } from "../io/good-job.js";
import { faultsOf, inFolder } from "../io/in-folder.js";

const BOMB = `a0: &a0 [x, x, x]\n${Array.from({ length: 12 }, (_, i) => `a${i + 1}: &a${i + 1} [${`*a${i}, `.repeat(9)}*a${i}]`).join("\n")}\n`;
const cpuMs = (work: () => void): number => {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
};

describe("found by npm run fuzz, or on the way to it", () => {
  it.each(["\n", ", "])(
    "a group of 19,000 keys, %j between them, held the command for eight seconds",
    (between) => {
      const keys = Array.from({ length: 19_000 }, (_, i) => `k${i}: 1`).join(between);
      const file = inFolder({ "job.yaml": between === "\n" ? keys : `${LEAST}sizes: { ${keys} }` });
      const ms = cpuMs(() => {
        expect(faultsOf(() => loadJob(file))).toMatchObject([
          { sentence: expect.stringMatching(/too many keys/) },
        ]);
      });
      expect(ms).toBeLessThan(2300);
    },
  );

  it("a truth file that is no YAML was called a fault of sukima; a wrong key had no place and no sentence", () => {
    const job = loadJob(inFolder({ "job.yaml": LEAST }));
    const faults = (text: string) =>
      faultsOf(() => loadTruth(join(inFolder({ "truth.yaml": text }), "truth.yaml"), job));
    expect(faults("seed: [\n")).toMatchObject([{ line: 2 }]);
    expect(faults("seed: 7\n\nsed: 8\n")).toMatchObject([
      { line: 3, sentence: expect.stringMatching(/\.$/) },
    ]);
    expect(faults("seed: 7\nthickness: 1e99\n")).toMatchObject([{ line: 2, field: "thickness" }]);
    expect(faults("")).toHaveLength(1);
  });

  it.each([7, null, {}, [1]])(
    "a picture or text of a notebook that is %j was called a fault of sukima",
    (value) => {
      const output = { output_type: "display_data", metadata: {}, data: { "text/plain": value } };
      const cell = {
        cell_type: "code",
        id: "a",
        metadata: {},
        execution_count: 1,
        source: "",
        outputs: [output],
      };
      const book = { nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [cell] };
      expect(() => parseNotebook(book, "book.ipynb")).toThrow(
        /^book\.ipynb .*neither a text nor .*cells\[0\]/,
      );
    },
  );

  it.each(["answer", "truth"])("aliases that explode were followed in an %s file", (kind) => {
    const job = loadJob(inFolder({ "job.yaml": LEAST }));
    const folder = inFolder({ "x.yaml": BOMB });
    const read = () =>
      kind === "answer" ? readAnswer(join(folder, "x.yaml"), []) : loadTruth(join(folder, "x.yaml"), job);
    expect(cpuMs(() => expect(read).toThrow(/x\.yaml/))).toBeLessThan(2000);
  });
});
