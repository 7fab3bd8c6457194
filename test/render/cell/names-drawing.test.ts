import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { newJob } from "../../../src/features/new/new-job.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import { benchNames } from "../../../src/model/cell/benches.js";
import { jointNames } from "../../../src/model/cell/joint-names.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { namesDrawing } from "../../../src/render/cell/names-drawing.js";
import { inFolder } from "../../io/in-folder.js";
import { elementsOf, writtenIn } from "../svg-elements.js";

describe.each(shippedPatterns())("the drawing of the names of %s", (pattern) => {
  const folder = join(inFolder({}), pattern);
  newJob(folder, "mm", pattern);
  const job = loadJob(folder);
  const cell = jobCell(job);
  const { short, meant } = jointNames(cell);

  it.each([366, 620])(
    "at %i px has every joint by the name that is typed for it, once in the cell",
    (width) => {
      const words = writtenIn(namesDrawing(job, { width, parts: ["cell"] }));
      for (const [i, name] of short.entries()) {
        expect(words.filter((text) => text === name)).toHaveLength(1);
        expect(meant(name)).toEqual([cell.joints[i]!.name]);
        // On the disc beside the joint, and before the name in the list.
        expect(words.filter((text) => text === String(i + 1))).toHaveLength(2);
      }
    },
  );

  it("has every piece, end, side and cut, and every bench that suits the job's jigs", () => {
    const words = writtenIn(namesDrawing(job));
    const heads = words.flatMap((text) => text.split(", "));
    for (const { name, cuts } of cell.pieces) {
      expect(heads).toContain(name);
      for (const { face } of cuts) expect(words.some((text) => text.split(" (")[0] === face)).toBe(true);
    }
    for (const word of ["start", "end", "left", "right"]) expect(words).toContain(word);
    const benches = benchNames(job.arrangement).filter((name) => words.includes(name));
    expect(benches).toContain("straightedge");
  });

  it.each([366, 620])("at %i px sets no number over another", (width) => {
    const { svg } = namesDrawing(job, { width, parts: ["cell"] });
    const discs = elementsOf({ toString: () => svg }, "circle")
      .map(({ attributes }) => ({
        x: Number(attributes.cx),
        y: Number(attributes.cy),
        r: Number(attributes.r),
      }))
      .filter(({ r }) => r > 5)
      .slice(0, cell.joints.length);
    expect(discs).toHaveLength(cell.joints.length);
    for (const [i, a] of discs.entries())
      for (const b of discs.slice(0, i)) expect(Math.hypot(a.x - b.x, a.y - b.y)).toBeGreaterThan(1.7 * a.r);
  });
});
