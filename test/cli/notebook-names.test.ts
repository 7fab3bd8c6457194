import { describe, expect, it } from "vitest";
import { inFolder } from "../io/in-folder.js";
import { runSukimaIn } from "./support/run-sukima.js";

// A notebook is a program: a stranger's folder once ran its own under the name of one of this project's.
describe("the name of a notebook", () => {
  it("means this project's, whatever lies in the current folder", async () => {
    const folder = inFolder({ "01-calibrate-a-jig.ipynb": "not a notebook" });
    for (const name of ["01-calibrate-a-jig", "01-calibrate-a-jig.ipynb"]) {
      const { code, stderr } = await runSukimaIn(
        folder,
        "notebook",
        name,
        "--job",
        "nowhere",
        "--out",
        "out",
      );
      expect(code).toBe(1);
      expect(stderr).toMatch(
        /^(?:… at work.*\n)*… starting 01-calibrate-a-jig\.ipynb\nthere is no job to run the notebook on/i,
      );
    }
  });

  it("is refused where only the current folder has it, and says how to mean that one", async () => {
    const folder = inFolder({ "mine.ipynb": "not a notebook" });
    const { code, stderr } = await runSukimaIn(folder, "notebook", "mine", "--job", ".", "--out", "out");
    expect(code).toBe(1);
    expect(stderr).toMatch(
      /no notebook “mine”.*write \.\/mine\.ipynb if you trust it, for a notebook is a program/,
    );
  });

  it("as a path means that file, and the command says that it runs a program", async () => {
    const folder = inFolder({ "mine.ipynb": "not a notebook" });
    const { code, stderr } = await runSukimaIn(folder, "notebook", "./mine", "--job", ".", "--out", "out");
    expect(code).toBe(1);
    expect(stderr).toMatch(
      /^(?:… at work.*\n)*… starting .*mine\.ipynb: a notebook is a program, and it runs with all your rights\n/,
    );
    expect(stderr).toMatch(/not/);
  });
});
