import { describe, expect, it } from "vitest";
import { cardSheet } from "../../../../src/features/calibrate/card/card-sheet.js";
import { setUpCard } from "../../../../src/features/calibrate/card/set-up-card.js";
import type { Job } from "../../../../src/model/job/job.js";
import { sampleCalibration, sampleJob } from "./sample-job.js";

describe("the card of a job that fits its pieces by trial", () => {
  const job: Job = sampleJob("mm", (text) => `${text}\nlengths: fitted\n`);
  const fitted = sampleCalibration(job);
  const card = setUpCard(fitted, "2030-05-06");
  const sheet = cardSheet(job, fitted, "2030-05-06");

  it("says to what press, from where, and what is scrap, on both forms", () => {
    expect(job.lengths).toBe("fitted");
    for (const notes of [card.notes, sheet.notes].map((lines) => lines.join(" ")))
      expect(notes).toMatch(
        /fitted by trial to 0\.020 mm press.*those too short stay as they are, and are scrap/,
      );
    expect(JSON.stringify(card)).toMatch(/each piece fitted to 0\.020 mm press/);
    expect([...card.forecast, ...sheet.forecast].map(([heading]) => heading).join()).not.toMatch(
      /press, limit|press ≤/,
    );
  });

  it("leaves a long diagonal's stop alone", () => {
    const { setting } = fitted.decision.advice.find(({ adjuster }) => adjuster.name === "diagonal-end")!;
    expect(setting.change).toBe(0);
  });

  it("says of a stop set beyond right that the rest comes off", () => {
    const advice = fitted.decision.advice.map((one) =>
      one.adjuster.name === "diagonal-end"
        ? { ...one, verdict: "adjust" as const, setting: one.adjuster.settings.at(-1)! }
        : one,
    );
    const toDoOf = (lengths: Job["lengths"]): string => {
      const calibration = { ...fitted, decision: { ...fitted.decision, advice } };
      const { jigs } = cardSheet({ ...job, lengths }, calibration, "2030-05-06");
      return jigs.flatMap(({ stops }) => stops.flatMap(({ toDo }) => toDo)).join("\n");
    };
    expect(toDoOf("fitted")).toMatch(/What is longer comes off in fitting\./);
    expect(toDoOf("as-cut")).not.toMatch(/comes off/);
  });
});
