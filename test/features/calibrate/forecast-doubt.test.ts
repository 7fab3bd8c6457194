import { expect, it } from "vitest";
import { calibrationAnswer } from "../../../src/features/calibrate/calibration-answer.js";
import { cardSheet } from "../../../src/features/calibrate/card/card-sheet.js";
import { cardHtml, cardText } from "../../../src/features/calibrate/card/card-text.js";
import { setUpCard } from "../../../src/features/calibrate/card/set-up-card.js";
import { sheetHtml } from "../../../src/features/calibrate/card/sheet-html.js";
import type { Calibration } from "../../../src/inference/calibrate-job.js";
import { sampleCalibration, sampleJob } from "./card/sample-job.js";

const DATE = "2030-05-06";
const WARNING = /do not rely on them until that is settled/;

const forms = (calibration: Calibration): Record<string, string> => {
  const card = setUpCard(calibration, DATE);
  return {
    answer: calibrationAnswer(calibration, "", DATE),
    card: cardText(card),
    "card in a notebook": cardHtml(card),
    "printed card": sheetHtml(cardSheet(calibration.job, calibration, DATE)),
  };
};

it("a forecast from readings that do not fit says in every form that it is not to be relied on", () => {
  const fitting = sampleCalibration(sampleJob("mm"));
  for (const [form, text] of Object.entries(forms(fitting))) expect(text, form).not.toMatch(WARNING);
  const { verdict, decision } = fitting;
  const advice = decision.advice.map((one) => ({ ...one, verdict: "not known" as const }));
  const failing: Calibration = {
    ...fitting,
    verdict: { ...verdict, verdict: "does not fit" },
    decision: { ...decision, hold: { kind: "does not fit" }, advice },
  };
  const told = forms(failing);
  for (const [form, text] of Object.entries(told))
    expect(text.replaceAll(/\s+|<[^>]+>|\u00a0/g, " "), form).toMatch(WARNING);
  expect(told.answer).toContain("Undecided until then: ramp of");
  expect(told.answer).not.toContain("Not measured well enough");
});
