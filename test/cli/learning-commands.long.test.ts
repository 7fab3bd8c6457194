import { execFile } from "node:child_process";
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join, resolve } from "node:path";
import { promisify } from "node:util";
import { afterAll, describe, expect, it } from "vitest";

const MAIN = resolve(import.meta.dirname, "../../dist/cli/main.js");
const DEMO = resolve(import.meta.dirname, "../../data/alcove-screen");
const folder = mkdtempSync(join(tmpdir(), "sukima-learning-"));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

async function sukima(...args: string[]): Promise<{ code: number; stdout: string; stderr: string }> {
  try {
    return { code: 0, ...(await promisify(execFile)(process.execPath, [MAIN, ...args])) };
  } catch (error) {
    return error as { code: number; stdout: string; stderr: string };
  }
}

describe("sukima draw", () => {
  it("lists every picture there may be, with what each needs, when asked for nothing", async () => {
    const { code, stdout } = await sukima("draw");
    expect(code).toBe(0);
    expect(stdout).toMatch(/^panel-fails +how often .* +--job with a panel$/m);
    expect(stdout).toMatch(/^estimates .* --job with a trials.csv$/m);
    expect(stdout).toMatch(/^gauge .* --table$/m);
  });

  it("lists the pictures of a job", async () => {
    const { stdout } = await sukima("draw", "--job", DEMO);
    for (const name of ["cell-before", "forecast", "cause-1", "ramp-of-point-67-sharp"])
      expect(stdout).toMatch(new RegExp(`^${name} `, "m"));
  });

  it("writes SVG with title and description, of the width asked for, and says the description", async () => {
    const file = join(folder, "page.svg");
    const { stdout } = await sukima("draw", "opening-large", "--job", DEMO, "--out", file, "--width", "700");
    const svg = readFileSync(file, "utf8");
    expect(svg).toMatch(/<svg[^>]* width="700"/);
    const [, described] = svg.match(/<desc>(.*?)<\/desc>/s) ?? [];
    expect(described).toContain("Pieces are drawn to scale");
    expect(stdout).toContain(described!.slice(0, 60));
  });

  it("writes PNG of the width asked for", async () => {
    const file = join(folder, "page.png");
    await sukima("draw", "opening-large", "--job", DEMO, "--out", file, "--width", "500");
    const png = readFileSync(file);
    expect(png.subarray(1, 4).toString()).toBe("PNG");
    expect(png.readUInt32BE(16)).toBe(500);
  });

  it("draws tables of repeated readings and of a batch, one picture for each instrument", async () => {
    const file = join(folder, "table.svg");
    const gauge = ["--table", join(DEMO, "gauge.csv"), "--out", file];
    expect((await sukima("draw", "gauge-caliper", ...gauge)).stdout).toContain("from part to part");
    expect((await sukima("draw", "gauge", ...gauge)).stderr).toContain(
      "There are gauge-caliper, gauge-angle-gauge.",
    );
    const { stdout } = await sukima("draw", "batch", "--table", join(DEMO, "batch.csv"), "--out", file);
    expect(stdout).toContain("36 pieces");
    expect((await sukima("draw", "--table", join(DEMO, "batch.csv"))).stderr).toContain(
      "must be gauge (repeated readings) or batch",
    );
  });

  it("draws every picture of an executed notebook, by its title", async () => {
    const svg = (title: string) =>
      `<svg width="9" height="9"><title>${title}</title><desc>Wide.</desc></svg>`;
    const outputs = ["A &amp; b, 1°", "Gaps", "Gaps"].map((title) => ({
      output_type: "display_data",
      metadata: {},
      data: { "image/svg+xml": svg(title), "text/plain": title },
    }));
    const code = { cell_type: "code", id: "a", metadata: {}, source: "1", execution_count: 1, outputs };
    const notebook = join(folder, "run.ipynb");
    const written = { nbformat: 4, nbformat_minor: 5, metadata: {}, cells: [code] };
    writeFileSync(notebook, JSON.stringify(written));
    const { stdout } = await sukima("draw", "--notebook", notebook);
    expect(stdout).toMatch(/^a-b-1 +A & b, 1°\ngaps +Gaps\ngaps-2 +Gaps$/m);
    const file = join(folder, "gaps-2.svg");
    const drawn = await sukima("draw", "gaps-2", "--notebook", notebook, "--out", file);
    expect(drawn.stdout).toContain("Gaps. Wide.");
    expect(readFileSync(file, "utf8")).toBe(svg("Gaps"));
    writeFileSync(notebook, JSON.stringify({ ...written, cells: [{ ...code, outputs: [] }] }));
    expect((await sukima("draw", "--notebook", notebook)).stderr).toContain("it must have been run");
  });

  it("says that a name is unknown before it asks where the picture goes", async () => {
    const { code, stderr } = await sukima("draw", "cell-befor", "--job", DEMO);
    expect(code).toBe(1);
    expect(stderr).toContain("There is no picture “cell-befor”. Did you mean ");
    expect(stderr).not.toContain("--out");
    expect((await sukima("draw", "cell-before", "--job", DEMO)).stderr).toContain("nowhere to draw to");
  });

  it("asks for one thing to draw from", async () => {
    expect((await sukima("draw", "cell")).stderr).toContain("name one of --job, --notebook or --table");
  });

  it("refuses an unknown picture, and a file of another kind", async () => {
    const unknown = await sukima("draw", "cell-befor", "--job", DEMO, "--out", join(folder, "x.svg"));
    expect(unknown.code).toBe(1);
    expect(unknown.stderr).toContain("There is no picture “cell-befor”");
    const kind = await sukima("draw", "cell", "--job", DEMO, "--out", join(folder, "x.gif"));
    expect(kind.code).toBe(2);
    expect(kind.stderr).toContain(".svg or .png");
  });
});

describe("sukima page", () => {
  it("writes one page with its script inside, for a job or for none", async () => {
    for (const job of [["--job", DEMO], []]) {
      const file = join(folder, "play.html");
      const { code, stdout } = await sukima("page", "--out", file, ...job);
      expect(code).toBe(0);
      expect(stdout).toContain("needs no network");
      const page = readFileSync(file, "utf8");
      expect(page).toContain(job.length > 0 ? 'strips <span data-size="4">' : 'strips <span data-size="3">');
      expect(page.length).toBeGreaterThan(60_000);
      expect(page.length).toBeLessThan(1_200_000);
    }
  });
});

describe("sukima mystery", () => {
  it("makes a job that can be calibrated, and marks an answer", async () => {
    const out = join(folder, "mystery");
    const made = await sukima("mystery", "--seed", "7", "--out", out);
    expect(made.code).toBe(0);
    expect(readdirSync(out).sort()).toEqual(["answer.yaml", "job.yaml", "mystery.txt", "trials.csv"]);
    expect((await sukima("mystery", "--seed", "7", "--out", out)).stderr).toContain("There is a job in");
    expect((await sukima("mystery", "--mark", out)).stderr).toContain("There is no answer yet");
    const blank = await sukima("mystery", "--mark", out, "--json", "--give-up");
    const { points, sources } = JSON.parse(blank.stdout) as {
      points: number;
      sources: { source: string; truth: number; angular: boolean }[];
    };
    expect(points).toBe(0);
    const truth = sources.filter(({ truth: size }) => size !== 0);
    expect(truth).toHaveLength(2);
    const entries = truth.map(
      ({ source, truth: size, angular }) =>
        `  - { cause: ${source}, size: ${angular ? `${(size * 180) / Math.PI} deg` : `${size} mm`} }`,
    );
    const answer = join(folder, "answer.yaml");
    writeFileSync(answer, `answer:\n${entries.join("\n")}\n`);
    expect((await sukima("mystery", "--mark", out, "--answer", answer)).stdout).toMatch(
      /^(\d+) of \1 points/,
    );
  });

  it("says what it needs", async () => {
    expect((await sukima("mystery")).stderr).toContain("--seed makes a mystery");
    expect((await sukima("mystery", "--mark", DEMO)).stderr).toContain("is no mystery");
  });
});
