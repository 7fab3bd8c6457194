import { shareText } from "../../render/percent.js";
import { angleText, pieceLength, smallLength } from "../../render/shop-numbers.js";
import { textTable, wrapped } from "../../render/text.js";
import type { OuterSize, PanelPrediction } from "./panel-prediction.js";
import { withinText } from "./panel-tables.js";
import { closingDeviation } from "./three-way-errors.js";

/** The grid of a panel: its outer size, its laps and what they leave of a cell's walls. */
export function panelGridText({
  job,
  shape,
  size,
  walls,
  tightLaps,
  sharedSpread,
  places,
}: PanelPrediction): string[] {
  const { units } = job;
  const { laps, frame, racked } = shape.panel;
  const threeWay = shape.kind === "three-way";
  const closing = threeWay ? closingDeviation(shape) : 0;
  const length = (mm: number): string => smallLength(mm, units);
  const row = (name: string, { nominal, mean, standardDeviation, byLaps }: OuterSize): string[] => [
    ...[name, pieceLength(nominal, units), pieceLength(mean, units)],
    ...[length(standardDeviation), length(byLaps)],
  ];
  const placed = laps.way === "stop" ? "each against a stop" : "each indexed from the lap before";
  return [
    textTable(
      ["outer size", "nominal", "mean", "standard deviation", "by the laps of one strip"],
      [row("width", size.width), row("height", size.height)],
      [1, 2, 3, 4],
    ),
    wrapped(
      `Laps ${placed}${laps.bundled ? ", through all strips at once" : ", strip by strip"}: ${length(laps.place)} from lap to lap. ${
        laps.way === "stop"
          ? "Every pitch then has the errors of two laps, but they do not add up along the strip."
          : "Every pitch then has the error of one lap, but they add up along the strip, by the square root of their number."
      }`,
    ),
    ...(frame === null || size.frame === null
      ? []
      : [
          wrapped(
            `Frame of ${pieceLength(frame.width, units)} × ${pieceLength(frame.height, units)}, play at most ${pieceLength(frame.play, units)}: the panel goes in as it should in ${withinText(size.frame.fits)} of the cases, is too large in ${withinText(size.frame.large)}, too small in ${withinText(size.frame.small)}.`,
          ),
        ]),
    ...(closing === 0
      ? []
      : [
          wrapped(
            `The three laps of a crossing disagree by ${length(closing)} (one standard deviation, where it is most); each gives way by a third of it, and the strips run through one point. Such a grid cannot rack: corners out of square come of its laps.`,
          ),
        ]),
    ...(racked === 0
      ? []
      : [
          wrapped(
            `Corners out of square by ${angleText(racked)} (one standard deviation) show as diagonals that differ by ${length(size.diagonals)}: measure both before the glue sets.`,
          ),
        ]),
    wrapped(
      `The walls of a cell spread by ${length(walls.offset)} and ${angleText(walls.turn)}, ${threeWay ? "the side of its opening" : "its opening"} by ${length(walls.opening)}: with these in its section grid the job describes one cell of this panel.`,
    ),
    ...(tightLaps === 0
      ? []
      : [
          wrapped(
            `In ${shareText(tightLaps)} of the laps ${threeWay ? "a strip finds no room, being thicker than the lap is wide or kept from its place by the other two laps of the crossing," : "the strip is thicker than the lap is wide"} and has to be eased in: try a lap of waste on the stock before you cut the grid.`,
          ),
        ]),
    ...(laps.depthScatter === 0
      ? []
      : [
          wrapped(
            threeWay
              ? `Four laps cut to the depth by thirds, each to ${length(laps.depthScatter)}, leave the faces of the bottom and the top strip of a crossing out of flush by ${length(2 * laps.depthScatter)} (one standard deviation).`
              : `Two laps cut to half the depth, each to ${length(laps.depthScatter)}, leave the faces of a crossing out of flush by ${length(Math.SQRT2 * laps.depthScatter)} (one standard deviation).`,
          ),
        ]),
    ...(places.length === 1
      ? []
      : [
          wrapped(
            `Of the spread of a cell's widest gap, ${shareText(sharedSpread)} of the variance is common to its panel: when one cell is bad the others are likely to be, and re-setting helps more than re-fitting.`,
          ),
        ]),
  ];
}
