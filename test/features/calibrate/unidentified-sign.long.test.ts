import { describe, expect, it } from "vitest";
import { drawCalibratedCell, drawEstimates } from "../../../src/features/calibrate/calibration-charts.js";
import { calibrationJson, unidentifiedText } from "../../../src/features/calibrate/calibration-report.js";
import { calibrationText } from "../../../src/features/calibrate/calibration-text.js";
import { cardSheet } from "../../../src/features/calibrate/card/card-sheet.js";
import { cardHtml, cardText } from "../../../src/features/calibrate/card/card-text.js";
import { setUpCard } from "../../../src/features/calibrate/card/set-up-card.js";
import { recordYaml } from "../../../src/features/record/record-yaml.js";
import { calibrateJob } from "../../../src/inference/calibrate-job.js";
import { leaningJob, leaningReadings } from "../../inference/leaning-demo.js";

const SAYS = /The readings tell how far this ramp leans but not which way: bevel-22 (.*? or .*? \(±.*?\))/;

function everyForm(sides: boolean) {
  const calibration = calibrateJob(leaningJob, leaningReadings(sides), { draws: 200 });
  const card = setUpCard(calibration, "2026-01-01");
  const forms = {
    terminal: calibrationText(calibration),
    "card in the terminal": cardText(card),
    "card of a page": String(cardHtml(card)),
    "printed card": cardSheet(leaningJob, calibration, "2026-01-01").notes.join(" "),
    report: unidentifiedText(calibration),
  };
  return { calibration, forms };
}

describe("a lean whose sign is not told", () => {
  const { calibration, forms } = everyForm(false);
  const plain = (text: string): string => text.replaceAll(/\s+/g, " ").replaceAll("\\", "");

  it("is said in every form with the same figures, and how to read on", () => {
    const figures = Object.entries(forms).map(([form, text]) => {
      const said = SAYS.exec(plain(text));
      expect(said, form).not.toBeNull();
      expect(plain(text), form).toContain("read one at the front and at the back");
      return said![1];
    });
    expect(new Set(figures).size).toBe(1);
    expect(figures[0]).toMatch(/^\+0\.\d+° or −0\.\d+° \(± 0\.\d+°\)$/);
  });

  it("has no sign on the card, and no order to square the ramp", () => {
    const row = setUpCard(calibration, "").rows.find(({ name }) => name === "lean of bevel-22")!;
    expect(row.means).toBe("at the front or at the back: not known yet");
    expect(row.error).toContain(" or ");
    expect(forms["card in the terminal"]).not.toContain("out of square to the bed");
  });

  it("names the reading that would resolve it, in the report", () => {
    expect(plain(forms.report)).toContain(
      "To tell which way the ramp of bevel-22 leans, one reading helps most:",
    );
    expect(plain(forms.report)).toMatch(
      /at the front, nothing goes in; where out at the back, about 0\.\d+ mm goes in/,
    );
  });

  it("is drawn on both sides of zero, and the cell says that a sign was taken", async () => {
    const [estimates, cell] = await Promise.all([
      drawEstimates(calibration),
      drawCalibratedCell(calibration, "before"),
    ]);
    expect(estimates.svg).toContain("lean of bevel-22, if +");
    expect(estimates.svg).toContain("lean of bevel-22, if −");
    expect(estimates.svg).toContain("Out at the front (+) or back (−)");
    expect(cell.svg).toContain("unknown signs as is likelier");
  });

  it("has both sides in the JSON, in degrees, and a remark in a record", () => {
    const { sources } = calibrationJson(calibration) as { sources: { name: string; sides: unknown }[] };
    expect(sources.find(({ name }) => name === "lean of bevel-22")!.sides).toMatchObject({
      above: { estimate: expect.closeTo(0.4, 0) },
      below: { estimate: expect.closeTo(-0.4, 0) },
    });
    expect(recordYaml(calibration.posterior, "2026-01-01")).toContain("the size but not the sign");
  });
});

it("none of it where both sides were read", async () => {
  const { calibration, forms } = everyForm(true);
  expect((await drawEstimates(calibration)).svg).not.toContain(", if +");
  expect((await drawCalibratedCell(calibration, "before")).svg).not.toContain("unknown signs");
  for (const text of Object.values(forms)) expect(text).not.toContain("which way");
  expect(recordYaml(calibration.posterior, "2026-01-01")).not.toContain("the size but not the sign");
  expect(forms["card in the terminal"].replaceAll(/\s+/g, " ")).toContain("cuts stand out at the front");
});
