import { describe, expect, it } from "vitest";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { FULL, LEAST } from "../io/good-job.js";
import { faultsOf, inFolder } from "../io/in-folder.js";

const jobFaults = (text: string) => faultsOf(() => loadJob(inFolder({ "job.yaml": text })));

describe("loading a job once", () => {
  it.each([800, 5_000, 40_000])("ended the whole process on %d brackets in each other", (depth) => {
    const text = `${LEAST}title: ${"[".repeat(depth)}${"]".repeat(depth)}\n`;
    expect(jobFaults(text)).toMatchObject([
      { line: 4, sentence: expect.stringMatching(/nested too deeply/) },
    ]);
  });

  it("called an alias without its anchor one alias too many", () => {
    expect(jobFaults(`${LEAST}title: *alcove\n`)).toMatchObject([
      { line: 4, column: 8, sentence: expect.stringMatching(/has no anchor/) },
    ]);
  });

  it("took the second half of a decimal comma for the note, where the note was empty", () => {
    const heading = "id,trial,bench,joint,what,unit,instrument,value,note";
    const table = `${heading}\nr,1,none,key,length,mm,caliper,24,4,\n`;
    const folder = inFolder({ "job.yaml": FULL, "trials.csv": table });
    expect(faultsOf(() => loadTrials(folder, loadJob(folder)))).toMatchObject([{ line: 2, column: 0 }]);
    const mended = inFolder({ "job.yaml": FULL, "trials.csv": table.replace("24,4", "24.4") });
    expect(loadTrials(mended, loadJob(mended))).toMatchObject([{ value: 24.4, note: "" }]);
  });

  it("let a key with an escape sign in it drive the terminal", () => {
    const text = `${LEAST}"\\e[2J": 1\n`;
    expect(() => loadJob(inFolder({ "job.yaml": text }))).toThrow(/\\u\{1B\}\[2J/);
  });
});
