import { type AsCut, asCutErrors } from "../../../src/model/cell/cell-errors.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { DEGREE, jointGaps, ORDERS, squareCell } from "./cells.js";
import { type Check, compareRows, type PublishedSource, published, type Row } from "./check.js";

interface File {
  source: PublishedSource;
  opening: number;
  strip: number;
  pressRatio: number;
  asCut: AsCut;
  gaps: { joint: string; at: "toe" | "heel"; first: number; exact: number }[];
  widestGap: number;
  deepestPress: number;
}

export const SECOND_IMPLEMENTATION = ["cell-blunt-tips", "cell-everything-off"];
/** Rounded to 9 decimals, mm. */
const ROUNDED = 1e-9;

/** Two cells against another implementation of the same model: every gap in exact order, first order by its largest difference. */
export function checks(): Check[] {
  return SECOND_IMPLEMENTATION.flatMap((name) => {
    const { source, ...known } = published<File>(name);
    const { cell, errors } = cellOf(known);
    const [first, exact] = ORDERS.map((order) => jointGaps(cell, errors, { order }));
    const off = Math.max(
      ...known.gaps.map(({ joint, at, first: gap }) =>
        Math.abs((first!.get(`${joint} ${at}`) ?? Number.NaN) - gap),
      ),
    );
    const { widestGap, deepestPress } = predictCell(cell, errors);
    return compareRows(
      name,
      {
        document: "another implementation of the model",
        place: source.place,
        kind: "second implementation",
      },
      [
        ["widest-gap", "widest gap, mm", known.widestGap, widestGap, ROUNDED],
        ["deepest-press", "deepest press, mm", known.deepestPress, deepestPress, ROUNDED],
        ["first", "largest difference of any gap in first order, mm", 0, off, ROUNDED],
        ...known.gaps.map(
          ({ joint, at, exact: gap }): Row => [
            `${joint}-${at}`,
            `${joint}, ${at}, exact order, mm`,
            gap,
            exact!.get(`${joint} ${at}`) ?? Number.NaN,
            ROUNDED,
          ],
        ),
      ],
    );
  });
}

/** The cell of a file with its errors, degrees taken to radians. */
export function cellOf({ opening, strip, asCut }: Pick<File, "opening" | "strip" | "asCut">) {
  const cell = squareCell(opening, strip);
  const mapValues = <A, B>(record: Readonly<Record<string, A>>, f: (value: A) => B) =>
    Object.fromEntries(Object.entries(record).map(([key, value]) => [key, f(value)]));
  const errors = asCutErrors(cell, {
    pieces: mapValues(asCut.pieces ?? {}, ({ cuts = {}, ...piece }) => ({
      ...piece,
      cuts: mapValues(cuts, ({ angle = 0, axial = 0 }) => ({ angle: angle * DEGREE, axial })),
    })),
    walls: mapValues(asCut.walls ?? {}, ({ turn = 0, offset = 0 }) => ({ turn: turn * DEGREE, offset })),
  });
  return { cell, errors };
}
