import { polygonOf, type Vec, vec } from "../../core/geometry.js";
import type { Piece } from "../../model/cell/arrangement.js";
import { facePlane, pieceFaces } from "../../model/cell/cell.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { Content, Html } from "../../render/html.js";
import { angleText, pieceLength } from "../../render/shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../../render/style.js";
import { label, line, polygon, rect, svgDocument } from "../../render/svg.js";
import { textWidth } from "../../render/text-layout.js";
import type { CutLine, CutList } from "./cut-list.js";

/** px: of a drawing beside a line of the list, and of the longest piece in it. */
const WIDTH = 176;
const LONGEST = 172;
/** px: from the top to the piece's middle line, and for the words under it. */
const MIDDLE = 9;
const WORDS = 13;
const WOOD = { fill: PALETTE.wood, stroke: PALETTE.ink, "stroke-width": STROKE.hair };

/** A drawing for each line of a list: pieces to one scale with the angles of their ends, counted from a square cut; strips and members each to its own scale, with their laps. */
export function lineDrawings({ job, lines, laps }: CutList): Html[] {
  const { pieces } = jobCell(job);
  const longest = Math.max(...pieces.map(({ length }) => length));
  return lines.map((one) => {
    const piece = one.stock === "strips" ? pieces.find(({ kind }) => kind === one.name) : undefined;
    if (piece !== undefined) return pieceDrawing(piece, job.strip, LONGEST / longest, job.units);
    const lap = laps.find(({ name }) => name === one.name);
    return stripDrawing(one, lap?.places ?? [], lap?.width ?? 0, job.units);
  });
}

function pieceDrawing(piece: Piece, strip: number, px: number, units: "mm" | "in"): Html {
  const own = { ...piece, origin: vec(0, 0), axis: 0 };
  const half = Math.max(MIDDLE, (strip / 2) * px + 1);
  const on = ({ x, y }: Vec): Vec => vec(1 + (x + piece.length / 2) * px, half - y * px);
  const corners = polygonOf(pieceFaces(own, 0, strip).map(facePlane)).map(on);
  const [start, end] = ([-1, 1] as const).map((which) => endText(piece, which));
  const right = Math.max(piece.length * px, textWidth(`${start}  ${end}`, SIZE.tiny));
  const y = 2 * half + WORDS - 3;
  return small(
    `${piece.kind}, ${pieceLength(piece.length, units)} tip to tip; its start ${start}, its end ${end} from a square cut`,
    2 * half + WORDS,
    [
      polygon(corners, WOOD),
      label(start ?? "", vec(1, y), { size: SIZE.tiny }),
      label(end ?? "", vec(1 + right, y), { size: SIZE.tiny, anchor: "end" }),
    ],
  );
}

/** The angles at one end of a piece, each once, from its left side to its right. */
const endText = ({ cuts }: Piece, which: -1 | 1): string =>
  [
    ...new Set(
      cuts
        .filter(({ end }) => end === which)
        .sort((a, b) => b.side - a.side)
        .map(({ jigAngle }) => angleText(jigAngle)),
    ),
  ].join(" / ");

function stripDrawing(
  { name, finished, thickness }: CutLine,
  places: readonly number[],
  lap: number,
  units: "mm" | "in",
): Html {
  const px = LONGEST / finished;
  const thick = Math.max(3, thickness * px);
  const y = MIDDLE - thick / 2;
  const wide = Math.max(1.2, lap * px);
  const said = places.length === 0 ? "" : `, ${places.length} laps`;
  return small(`${name}, ${pieceLength(finished, units)}${said}`, 2 * MIDDLE, [
    rect(1, y, LONGEST, thick, WOOD),
    places.map((place) =>
      line(vec(1 + place * px, y), vec(1 + place * px, y + thick), {
        stroke: PALETTE.ink,
        "stroke-width": wide,
      }),
    ),
  ]);
}

const small = (title: string, height: number, content: readonly Content[]): Html =>
  svgDocument({ title, width: WIDTH, height }, ...content);
