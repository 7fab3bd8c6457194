import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { parse } from "csv-parse/sync";
import { beforeAll, describe, expect, it } from "vitest";
import { newJob } from "../../src/features/new/new-job.js";
import { loadJob } from "../../src/io/job/load-job.js";
import { loadTrials } from "../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../src/io/trials/trials-csv.js";
import { runSukima } from "../cli/support/run-sukima.js";
import { LEAST } from "../io/good-job.js";
import { faultsOf, inFolder } from "../io/in-folder.js";
import { HOSTILE, hostileJob, NAME } from "./hostile-job.js";

let folder: string;
let out: string;
beforeAll(() => {
  folder = hostileJob();
  out = join(inFolder({}), "out");
});

/** No tag, attribute or address of the job's has come through as one. */
function expectInert(html: string): void {
  const markup = html.replaceAll(/<style>[\s\S]*?<\/style>|<script[\s\S]*?<\/script>/g, "");
  const tags = markup.match(/<[a-z][^>]*>/gi) ?? [];
  expect(tags.length).toBeGreaterThan(3);
  for (const tag of tags) {
    // Quoted values are texts: what is left of a tag is its name and the names of its attributes.
    const bare = tag.replaceAll(/"[^"]*"/g, '""');
    expect(bare, tag).not.toMatch(/\son\w+=|^<(script|img|b|iframe|object|link)\b/i);
    expect(tag).not.toMatch(/(src|href|action)="?(http|javascript)/i);
  }
  expect(markup).not.toMatch(/<script>x\(\)/);
}

/** Pages let nothing in from outside. */
function expectPolicy(html: string): void {
  const [, policy] = /http-equiv="Content-Security-Policy" content="([^"]*)"/.exec(html) ?? [];
  expect(policy).toMatch(/^default-src 'none';/);
  expect(policy).not.toMatch(/http|\*|unsafe-eval|script-src[^;]*unsafe-inline/);
  expect(html.indexOf("Content-Security-Policy")).toBeLessThan(html.indexOf("<title>"));
}

describe("a job full of hostile text", () => {
  it("is a job: its texts are what they are", () => {
    const job = loadJob(folder);
    expect(job.title).toBe(HOSTILE);
    expect(job.jigs.map(({ name }) => name)).toContain(`${NAME}point-45`);
    expect(loadTrials(folder, job)[0]!.note).toBe(HOSTILE);
  });

  it.each([
    ["card", "card.html"],
    ["page", "page.html"],
    ["cutlist", "cut-list.html"],
  ])("%s: an inert page that asks no network", async (command, name) => {
    const where = command === "cutlist" ? out : join(out, name);
    const args =
      command === "page" ? ["page", "--job", folder, "--out", where] : [command, folder, "--out", where];
    const { code, stderr } = await runSukima(...args);
    expect(stderr.replaceAll(/^….*\n/gm, "")).toBe("");
    expect(code).toBe(0);
    const html = readFileSync(join(out, name), "utf8");
    expect(html).toContain("&lt;");
    expectInert(html);
    expectPolicy(html);
  });

  it("notebook: an inert page and outputs", async () => {
    const { code, stderr } = await runSukima("notebook", "01-calibrate-a-jig", "--job", folder, "--out", out);
    expect(stderr).not.toMatch(/stopped/);
    expect(code).toBe(0);
    const html = readFileSync(join(out, "01-calibrate-a-jig.html"), "utf8");
    expectInert(html);
    expectPolicy(html);
    const notebook = JSON.parse(readFileSync(join(out, "01-calibrate-a-jig.ipynb"), "utf8"));
    const outputs = notebook.cells.flatMap(
      (cell: { outputs?: { data?: Record<string, string | string[]> }[] }) =>
        (cell.outputs ?? []).flatMap(({ data = {} }) =>
          ["text/html", "image/svg+xml"].flatMap((mime) =>
            mime in data ? [[data[mime]!].flat().join("")] : [],
          ),
        ),
    );
    expect(outputs.length).toBeGreaterThan(2);
    for (const output of outputs) expectInert(`<i><i><i><i>${output}`);
  });

  it.each(["estimates", "budget", "cell"])("draw %s: an SVG in which it is text", async (picture) => {
    const names = (await runSukima("draw", "--job", folder)).stdout;
    const name = names
      .split("\n")
      .map((line) => line.split(" ")[0]!)
      .find((one) => one.includes(picture));
    expect(name, names).toBeDefined();
    const file = join(out, `${picture}.svg`);
    const { code, stderr } = await runSukima("draw", name!, "--job", folder, "--out", file);
    expect(code, stderr).toBe(0);
    expectInert(readFileSync(file, "utf8"));
  });

  it("cutlist and simulate: tables that no spreadsheet runs", async () => {
    const job = loadJob(folder);
    const readings = loadTrials(folder, job);
    const csv = trialsCsv(job, readings);
    const tables = readdirSync(out).filter((name) => name.endsWith(".csv"));
    expect(tables.length).toBeGreaterThan(2);
    for (const text of [csv, ...tables.map((name) => readFileSync(join(out, name), "utf8"))])
      for (const row of parse(text) as string[][])
        for (const one of row) if (!/^-?[\d.]+$/.test(one)) expect(one).not.toMatch(/^[=+\-@\t\r]/);
    // And what they say is read again as it was.
    writeFileSync(join(folder, "again.csv"), csv);
    expect(loadTrials(join(folder, "again.csv"), job)).toEqual(readings);
    expect(readings[0]!.note).toBe(HOSTILE);
  });

  it("record: YAML that says the same names", async () => {
    const { code, stderr } = await runSukima("record", folder, "--out", join(folder, "jigs.yaml"));
    expect(code, stderr).toBe(0);
    const job = readFileSync(join(folder, "job.yaml"), "utf8");
    writeFileSync(join(folder, "job.yaml"), `${job}\nrecords: [jigs.yaml]\n`);
    expect(loadJob(folder).title).toBe(HOSTILE);
    writeFileSync(join(folder, "job.yaml"), job);
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
    expect(fault).toMatchObject({ line: 2, sentence: expect.stringMatching(/cannot be seen/) });
  });

  it.each(unseen.slice(0, 4).filter((_, i) => i !== 1))(
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
