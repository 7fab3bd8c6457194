import { describe, expect, it } from "vitest";
import { code, notebook } from "../../render/notebook/build-notebook.js";
import { faultsOf, type Result, tableText } from "./matrix.js";

const showing = (text: string) => notebook(code("", { output_type: "stream", name: "stdout", text }));

describe("the matrix of notebooks and jobs", () => {
  it("takes no run for good in which no check held, which shows no number, or millimetres to a shop in inches", () => {
    expect(faultsOf(showing("holds: one and one are two\n"), "mm")).toBe("");
    expect(faultsOf(showing("the gap is 1 mm\n"), "mm")).toMatch(/none of its checks/);
    const metric = showing("holds: this\nthe gap is 0.1 mm\n");
    expect(faultsOf(metric, "mm")).toBe("");
    expect(faultsOf(metric, "in")).toMatch(/millimetres: the gap is 0\.1 mm/);
    expect(faultsOf(showing("holds: this\nthe gap is NaN mm\n"), "mm")).toMatch(/no number: .*NaN/s);
  });

  it("shows each run in its place, and counts", () => {
    const results: Result[] = [
      { notebook: "00-a", pattern: "diamond", unit: "in", status: "run", seconds: 1, says: "" },
      { notebook: "01-b", pattern: "diamond", unit: "in", status: "failed", seconds: 1, says: "it broke" },
      { notebook: "01-b", pattern: "corner", unit: "mm", status: "refused", seconds: 1, says: "no" },
    ];
    expect(tableText(results, ["00-a", "01-b"])).toBe(
      [
        "            00   01",
        "corner mm   –    refused",
        "diamond in  run  FAILED",
        "",
        "1 run, 1 refused by name, 1 failed, of 3.",
      ].join("\n"),
    );
  });
});
