import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { PanelDrawer, panelSources } from "../../../src/features/panel/draw-panel.js";
import { predictPanel } from "../../../src/features/panel/predict-panel.js";
import { swappablePieces } from "../../../src/features/panel/sort-pieces.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { errorsOf } from "../../../src/physics/kernel/trial-record.js";
import { longIt } from "../../tools/longer.js";
import { panelJob } from "./support/panel-job.js";

const EXACTLY = { measured: { pieces: 0, openings: 0 } } as const;

/** The errors of each piece of a panel, from the draws of its cells: thickness, then angle and axial of each cut by its group. */
function piecesOf(way: "as-cut" | "sorted", job = panelJob(EXACTLY)) {
  const sources = panelSources(job);
  const drawer = new PanelDrawer(sources, way);
  drawer.draw(createStream(2), 0);
  const { cell, inputs } = sources;
  const { indexOf } = errorLayout(cell);
  const errors = new Float64Array(inputs.mean.length);
  return Array.from({ length: drawer.cells }, (_, at) => {
    errorsOf(inputs, drawer.drawn.subarray(at * inputs.draws, (at + 1) * inputs.draws), errors);
    const offset = (wall: string): number => errors[indexOf("offset", wall)]!;
    const opening = -(
      offset("wall-left") +
      offset("wall-right") +
      offset("wall-top") +
      offset("wall-bottom")
    );
    const pieces = cell.pieces.map(({ name, kind, cuts }) => {
      const groups = [...cuts].sort(
        (a, b) => a.end - b.end || a.group.localeCompare(b.group) || b.side - a.side,
      );
      const numbers = [
        errors[indexOf("thickness", name)]!,
        ...groups.flatMap(({ face }) => [
          errors[indexOf("angle", name, face)]!,
          errors[indexOf("axial", name, face)]!,
        ]),
      ];
      const atEnd = (end: number): number => {
        const axial = cuts
          .filter((cut) => cut.end === end)
          .map(({ face }) => errors[indexOf("axial", name, face)]!);
        return axial.reduce((sum, e) => sum + e, 0) / axial.length;
      };
      return { kind, key: numbers.map((x) => x.toFixed(9)).join(), length: atEnd(-1) + atEnd(1) };
    });
    return { opening, pieces };
  });
}

describe("pieces sorted into a panel's cells", () => {
  it("are swapped among their kind: one diagonal, four hinges, two keys", () => {
    const { cell, inputs, own } = panelSources(panelJob());
    expect(swappablePieces(cell, inputs, own).map((group) => group.length)).toEqual([1, 4, 2]);
  });

  it("are the same pieces, whole, with all their errors", () => {
    const keys = (way: "as-cut" | "sorted") =>
      piecesOf(way).flatMap(({ pieces }) => pieces.map(({ kind, key }) => `${kind} ${key}`));
    const [before, after] = [keys("as-cut"), keys("sorted")];
    expect(after).not.toEqual(before);
    expect([...after].sort()).toEqual([...before].sort());
    expect(new Set(before).size).toBe(before.length);
  });

  it("measured exactly are never longer in the smaller of two openings", () => {
    const inOrder = (way: "as-cut" | "sorted"): boolean => {
      const cells = piecesOf(way).sort((a, b) => a.opening - b.opening);
      return ["diagonal", "hinge", "key"].every((kind) => {
        const lengths = cells.map(({ pieces }) =>
          pieces.filter((piece) => piece.kind === kind).map(({ length }) => length),
        );
        return lengths.every((own, k) => k === 0 || Math.min(...own) >= Math.max(...lengths[k - 1]!) - 1e-12);
      });
    };
    expect(inOrder("sorted")).toBe(true);
    expect(inOrder("as-cut")).toBe(false);
  });

  longIt(
    "close more cells where lengths and openings are what scatters, and not where nobody can measure",
    async () => {
      const betweenCutSd = { angle: 0, length: 0.04, thickness: 0 };
      const refits = async (measured: { pieces: number; openings: number }) => {
        const job = panelJob({ measured, rows: 4, columns: 4 }, { betweenCutSd });
        const { ways } = await predictPanel(job, { panels: 200, budget: false });
        return ways!.find(({ way }) => way === "sorted")!.fewerRefits;
      };
      const [exact, blind] = [
        await refits({ pieces: 0, openings: 0 }),
        await refits({ pieces: 100, openings: 100 }),
      ];
      expect(exact.low).toBeGreaterThan(0.1);
      expect(blind.low).toBeLessThan(0);
      expect(blind.high).toBeLessThan(exact.low);
    },
  );
});
