import { readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, it } from "vitest";
import { newJob } from "../../src/features/new/new-job.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { runSukima } from "../cli/support/run-sukima.js";
import { LEAST } from "../io/good-job.js";
import { faultsOf, inFolder } from "../io/in-folder.js";
import { longIt } from "../tools/longer.js";
import { HOSTILE, hostileJob, NAME } from "./hostile-job.js";
import { expectInert, expectPolicy } from "./inert.js";

let folder: string;
let out: string;
beforeAll(() => {
  folder = hostileJob();
  out = join(inFolder({}), "out");
});

describe("a job full of hostile text", () => {
  it("is a job: its texts are what they are", () => {
    const job = loadJob(folder);
    expect(job.title).toBe(HOSTILE);
    expect(job.jigs.map(({ name }) => name)).toContain(`${NAME}point-45`);
    expect(loadTrials(folder, job)[0]!.note).toBe(HOSTILE);
  });

  it("new: a folder's name is a title and nothing else", () => {
    const made = join(inFolder({}), `x: [y] # '"<b>{`);
    newJob(made);
    expect(loadJob(made).title).toBe(`x: [y] # '"<b>{`);
  });
});

describe("these checks", () => {
  it("see a text that was written as it is", () => {
    const page = (text: string): string => `<p><i><b2><u><h1>${text}</h1>`;
    expect(() => expectInert(page("plain"))).not.toThrow();
    for (const text of [HOSTILE, NAME, "<img src='http://evil.example'>", '<a href="javascript:x()">'])
      expect(() => expectInert(page(text)), text).toThrow();
    expect(() => expectPolicy("<title>x</title>")).toThrow();
  });
});

describe("signs that cannot be seen", () => {
  const unseen = ["\u001B[2J", "\u0007", "\u009B31m", "\u202Eevil", "\u2066x"];

  it.each(unseen)("%j is refused in a title, a name and a note, with its place", (sign) => {
    const spelt = JSON.stringify(sign)
      .replaceAll("\u202E", "\\u202E")
      .replaceAll("\u2066", "\\u2066")
      .replaceAll("\u009B", "\\u009B");
    for (const text of [`${LEAST}title: ${spelt}\n`, `${LEAST}jigs: { ${spelt}: { ramp: 45 } }\n`]) {
      const [fault] = faultsOf(() => loadJob(inFolder({ "job.yaml": text })));
      expect(fault).toMatchObject({ line: 4 });
    }
    const job = loadJob(folder);
    const [heading, first] = readFileSync(join(folder, "trials.csv"), "utf8").split("\n");
    const table = `${heading}\n${first!.replace("=1+1", sign)}\n`;
    const [fault] = faultsOf(() => loadTrials(inFolder({ "trials.csv": table }), job));
    expect(fault).toMatchObject({ line: 2, sentence: expect.stringMatching(/invisible character/) });
  });

  longIt.each(unseen.slice(0, 4).filter((_, i) => i !== 1))(
    "%j does not reach the terminal in a path or an argument",
    async (sign) => {
      for (const args of [
        ["calibrate", `no${sign}folder`],
        [`no${sign}command`],
        ["page", "--out", join(out, `a${sign}.html`)],
      ]) {
        const { stdout, stderr } = await runSukima(...args);
        expect(stdout + stderr).not.toMatch(/(?![\n\t])\p{Cc}|[\u202A-\u202E\u2066-\u2069]/u);
        expect(stdout + stderr).toMatch(/\\u/);
      }
    },
  );
});

describe("YAML that would build objects", () => {
  it.each([
    "!!js/function 'function () { return 1 }'",
    "!!python/object/apply:os.system [x]",
    "!!binary aGVsbG8=",
    "!<tag:evil,2000:x> y",
    "!!set { a, b }",
  ])("is refused: %s", (value) => {
    const [fault] = faultsOf(() => loadJob(inFolder({ "job.yaml": `${LEAST}title: ${value}\n` })));
    expect(fault).toMatchObject({ line: 4 });
  });

  it.each(["__proto__", "constructor", "prototype"])(
    "is a key like any other that is not known: %s",
    (key) => {
      const [fault] = faultsOf(() => loadJob(inFolder({ "job.yaml": `${LEAST}${key}: { x: 1 }\n` })));
      expect(fault).toMatchObject({ line: 4 });
      expect(({} as { x?: number }).x).toBeUndefined();
    },
  );
});
