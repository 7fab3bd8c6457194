import { describe, expect, it } from "vitest";
import { cardSheet } from "../../../../src/features/calibrate/card/card-sheet.js";
import { cardHtml } from "../../../../src/features/calibrate/card/card-text.js";
import { setUpCard } from "../../../../src/features/calibrate/card/set-up-card.js";
import { sheetHtml } from "../../../../src/features/calibrate/card/sheet-html.js";
import { CAUTIONS } from "../../../../src/render/cautions.js";
import { sampleCalibration, sampleJob } from "./sample-job.js";

const job = sampleJob("mm");
const calibration = sampleCalibration(job);
const card = setUpCard(calibration, "2030-05-06");
const sheet = cardSheet(job, calibration, "2030-05-06");
const html = sheetHtml(sheet);
const count = (text: string, pattern: RegExp): number => [...text.matchAll(pattern)].length;
const plain = (text: string): string => text.replaceAll("\u00A0", " ");

describe("the printed card", () => {
  it("has a line with a drawing for each ramp and each stop", () => {
    expect(sheet.jigs.map(({ name, stops }) => [name, stops.length])).toEqual([
      ["point-45", 2],
      ["point-67", 0],
      ["bevel-22", 2],
    ]);
    expect(count(html, /<svg /g)).toBe(7);
    expect(count(html, /<svg [^>]*role="img"[^>]*><title>[^<]+<\/title>/g)).toBe(7);
  });

  it("tells to do what the card tells, with a check after each, and nothing else", () => {
    const lines = sheet.jigs.flatMap(({ ramp, stops }) => [ramp, ...stops]);
    const moves = card.rows.filter(({ verdict }) => verdict === "adjust");
    expect(moves.length).toBeGreaterThanOrEqual(2);
    for (const { name, action, check } of moves) {
      const line = lines.find(({ toDo }) => toDo[0]?.startsWith(action));
      expect(line?.toDo).toHaveLength(2);
      const advice = calibration.decision.advice.find(({ adjuster }) =>
        name.endsWith(` of ${adjuster.name}`),
      )!;
      const off = ({ change }: { change: number }): number => Math.abs(change - advice.wanted);
      const nearer = advice.adjuster.settings.some((other) => off(other) < off(advice.setting));
      const figure = String.raw`(?:[+−][\d.]+|0\.0+)(?:°| mm) ± [\d.]+(?:°| mm)`;
      expect(line?.toDo[0]).toMatch(
        new RegExp(
          nearer
            ? ` Wanted by itself: ${figure}\\. .* errors that stay as they are\\.$`
            : ` Wanted: ${figure}\\.$`,
        ),
      );
      expect(line?.toDo[1]).toBe(`${check} It reads:`);
    }
    expect(lines.filter(({ toDo }) => toDo.length > 0)).toHaveLength(
      card.rows.filter(
        ({ verdict, verdictText }) => verdict === "adjust" || verdictText === "not known: read first",
      ).length,
    );
  });

  it("has the job, the date, every caution, the limits and the magnifications", () => {
    expect(plain(html)).toContain(
      "Set-up card of 2030-05-06. asanoha-square, opening 60.00 mm, strip 3.00 mm.",
    );
    expect(html).toContain("<h1>started</h1>");
    for (const caution of CAUTIONS) expect(html).toContain(caution);
    expect(plain(html)).toMatch(/widest gap, limit 0\.100 mm/);
    expect(plain(html)).toMatch(
      /moves of stops, \d+ times their size, and leaves, \d+ times their thickness/,
    );
  });

  it("says of the cell what the card says", () => {
    for (const [i, [, before, after]] of sheet.forecast.entries()) {
      const said = card.forecast.filter(([heading]) => !heading.startsWith(" "))[i]!;
      const figures = (text: string): string[] => text.match(/[\d.]+/g)!;
      expect(figures(said[1]).slice(0, figures(before).length)).toEqual(figures(before));
      expect(figures(said[2]).slice(0, figures(after).length)).toEqual(figures(after));
    }
  });

  it("is one sheet of half the printer's paper, without scripts, and loads nothing", () => {
    expect(html).toMatch(/@page \{ size: 148mm 210mm;/);
    expect(html).toContain(
      `content="default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"`,
    );
    expect(html).not.toMatch(/<script|src=|href=|url\(|@import/);
  });

  it("is in the shop's units", () => {
    const inches = { ...calibration, job: { ...job, units: "in" as const } };
    const inInches = sheetHtml(cardSheet(inches.job, inches, "2030-05-06"));
    expect(inInches).toMatch(/@page \{ size: 5\.5in 8\.5in;/);
    expect(
      plain(inInches.replace(/<style>[\s\S]*<\/style>/, "").replaceAll(/ (?:width|height)="[^"]*"/g, "")),
    ).not.toMatch(/\d mm/);
  });

  it("keeps a hostile job inert", () => {
    const evil = `</title></style><script>alert(1)</script><img src=x onerror="alert(2)">`;
    const names = { title: evil, pattern: evil as typeof job.pattern };
    const jigs = job.jigs.map((jig) => ({ ...jig, name: evil }));
    const setUps = job.setUps.map((setUp) => ({ ...setUp, name: `${evil} ${setUp.name}`, jig: evil }));
    const evilCard = setUpCard({ ...calibration, job: { ...job, ...names } }, evil);
    expect(cardHtml(evilCard)).not.toMatch(/<script|<img|onerror="|<\/style>/);
    for (const page of [
      sheetHtml(cardSheet({ ...job, ...names, jigs: jigs.slice(0, 1), setUps }, null, evil)),
      sheetHtml(cardSheet({ ...job, ...names }, { ...calibration, job: { ...job, ...names } }, evil)),
    ]) {
      expect(page).not.toMatch(/<script|<img|onerror="/);
      expect(count(page, /<\/style>/g)).toBe(1);
      expect(page).toContain("&lt;script&gt;alert(1)");
    }
  });
});

describe("the card before any trial", () => {
  const first = cardSheet(job, null, "2030-05-06");

  it("has the settings to begin with and a blank for each reading", () => {
    const lines = first.jigs.flatMap(({ ramp, stops }) => [ramp, ...stops]);
    expect(lines.every(({ state }) => state === "Not measured yet.")).toBe(true);
    expect(first.jigs[0]!.stops[0]!.toDo).toEqual([
      "Set it for 84.85 mm.",
      "Cut a diagonal, 84.85 mm tip to tip. It reads:",
    ]);
    expect(first.jigs[2]!.stops[1]!.toDo[0]).toBe("Set it for 43.92 mm.");
    const page = sheetHtml(first);
    expect(count(page, /class="blank"/g)).toBe(7);
    expect(page).not.toContain("What to expect");
    for (const caution of CAUTIONS) expect(page).toContain(caution);
  });

  it("takes as right what the job trusts to nothing", () => {
    const sure = sampleJob("mm", (text) =>
      text.replace(/(67\.5 deg\n.*trusted-to: )0\.3 deg([\s\S]*?)shims: .*/, "$10 deg$2locked: true"),
    );
    const { ramp } = cardSheet(sure, null, "").jigs[1]!;
    expect(ramp).toMatchObject({ state: "Taken as right.", toDo: [] });
  });
});
