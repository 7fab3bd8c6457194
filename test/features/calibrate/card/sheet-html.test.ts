import { describe, expect, it } from "vitest";
import { cardSheet } from "../../../../src/features/calibrate/card/card-sheet.js";
import {
  onOneSide,
  sheetHeight,
  sheetHtml,
  sheetScale,
} from "../../../../src/features/calibrate/card/sheet-html.js";
import { sampleCalibration, sampleJob } from "./sample-job.js";

const sheet = cardSheet(sampleJob("mm"), sampleCalibration(sampleJob("mm")), "2030-05-06");
const longer = { ...sheet, notes: [...sheet.notes, ...sheet.notes, ...sheet.notes, ...sheet.notes] };

describe("the letters of a card", () => {
  it("are as large as they are where there is room, and smaller where there is not", () => {
    const bare = { ...sheet, forecast: [], notes: [] };
    expect(sheetScale(bare)).toBe(1);
    expect(sheetHtml(bare)).toContain("font: 7.4pt/1.27");
    const scale = sheetScale(longer);
    expect(scale).toBeLessThan(1);
    expect(sheetHtml(longer)).toContain(`font: ${Number((7.4 * scale).toFixed(2))}pt/1.27`);
  });

  it("are no smaller than what can be read at the bench: 6 pt and more", () => {
    const endless = { ...sheet, notes: Array.from({ length: 50 }, () => sheet.notes.join(" ")) };
    expect(7.4 * sheetScale(endless)).toBeGreaterThanOrEqual(5.99);
  });

  it("leave out spare notes, the last first, where even the smallest have no room, and only then", () => {
    const long = sheet.notes.join(" ");
    const spare = {
      ...sheet,
      spareNotes: ["what stays", ...Array.from({ length: 12 }, () => long), "the last"],
    };
    const shown = onOneSide(spare);
    expect(shown.spareNotes.length).toBeLessThan(spare.spareNotes.length);
    expect(shown.spareNotes).toEqual(spare.spareNotes.slice(0, shown.spareNotes.length));
    expect(sheetHtml(spare)).toContain("what stays");
    expect(sheetHtml(spare)).not.toContain("the last");
    const roomy = { ...sheet, notes: [], spareNotes: ["what stays"] };
    expect(onOneSide(roomy)).toEqual(roomy);
  });

  it("make a card lower when they are smaller, and what is said more makes it taller", () => {
    expect(sheetHeight(sheet, 0.9)).toBeLessThan(sheetHeight(sheet, 1));
    expect(sheetHeight(longer, 1)).toBeGreaterThan(sheetHeight(sheet, 1) + 10);
  });
});
