import { expect } from "vitest";
import { arrangePattern } from "../../../../src/io/patterns/arrange-pattern.js";
import { shippedPattern } from "../../../../src/io/patterns/find-pattern.js";
import type { PatternSizes } from "../../../../src/io/patterns/pattern.js";
import type { Arrangement } from "../../../../src/model/cell/arrangement.js";
import { compileCell } from "../../../../src/model/cell/compile-cell.js";

/** A pattern of this project at certain sizes. */
export function arranged(name: string, sizes: PatternSizes = {}): Arrangement {
  const { arrangement, faults } = arrangePattern(shippedPattern(name), sizes);
  expect(faults).toEqual([]);
  return arrangement!;
}
export const cellOf = (name: string, sizes: PatternSizes = {}) => compileCell(arranged(name, sizes));
export const lengthOf = ({ pieces }: Arrangement, piece: string): number =>
  pieces.find(({ name }) => name === piece)!.length;
export const angleOf = ({ pieces }: Arrangement, piece: string, face: string): number =>
  pieces.find(({ name }) => name === piece)!.cuts.find((cut) => cut.face === face)!.jigAngle;
