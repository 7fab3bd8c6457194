import { describe, expect, it } from "vitest";
import { distance, type Vec } from "../../../src/core/geometry.js";
import { asanohaSquare, CLOSING_SEAT_SHARE } from "../../../src/model/cell/asanoha-square.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { userError } from "../../user-error.js";
import { areaOf, edgeOf, outlines, unionArea } from "./support/outlines.js";

const T = 3;
const cellOf = (opening: number, strip: number, seatShare?: number) =>
  compileCell(asanohaSquare({ opening, strip, ...(seatShare === undefined ? {} : { seatShare }) }));
const cell = cellOf(60, T);
const jointNamed = (name: string) => cell.joints.find((joint) => joint.name === name)!;
const at = (x: number, y: number) =>
  expect.objectContaining({ x: expect.closeTo(x, 9), y: expect.closeTo(y, 9) });

/** Every joint of the pattern, the cut face first. */
const JOINTS = [
  "diagonal.start-left|wall-left",
  "diagonal.start-right|wall-bottom",
  "diagonal.end-left|wall-top",
  "diagonal.end-right|wall-right",
  "hinge-1.start-left|wall-left",
  "hinge-1.start-right|diagonal.left",
  "hinge-2.start-right|wall-top",
  "hinge-2.start-left|diagonal.left",
  "hinge-1.end-right|hinge-2.end-left",
  "key-1.start-right|wall-left",
  "key-1.start-left|wall-top",
  "key-1.end-right|hinge-1.end-left",
  "key-1.end-left|hinge-2.end-right",
  "hinge-3.start-right|wall-bottom",
  "hinge-3.start-left|diagonal.right",
  "hinge-4.start-left|wall-right",
  "hinge-4.start-right|diagonal.right",
  "hinge-3.end-left|hinge-4.end-right",
  "key-2.start-left|wall-bottom",
  "key-2.start-right|wall-right",
  "key-2.end-left|hinge-3.end-right",
  "key-2.end-right|hinge-4.end-left",
];

describe("the square cell of 60 mm in 3 mm strip", () => {
  it("has the known lengths, tip to tip", () => {
    const lengths = Object.fromEntries(cell.pieces.map(({ name, length }) => [name, length.toFixed(4)]));
    expect(lengths).toEqual({
      diagonal: "84.8528",
      "hinge-1": "44.1079",
      "hinge-2": "44.1079",
      "hinge-3": "44.1079",
      "hinge-4": "44.1079",
      "key-1": "24.4719",
      "key-2": "24.4719",
    });
  });

  it("has pieces that really are as long as they say", () => {
    const corners = outlines(cell);
    for (const [i, piece] of cell.pieces.entries()) {
      const along = corners[i]!.map(
        ({ x, y }) =>
          (x - piece.origin.x) * Math.cos(piece.axis) + (y - piece.origin.y) * Math.sin(piece.axis),
      );
      expect(Math.max(...along)).toBeCloseTo(piece.length / 2, 9);
      expect(Math.min(...along)).toBeCloseTo(-piece.length / 2, 9);
    }
  });

  it("has its 22 joints by name", () => {
    expect(cell.joints.map(({ name }) => name).sort()).toEqual([...JOINTS].sort());
  });

  it("has faces of the length that their angle gives", () => {
    const pointLength = (degrees: number) => T / 2 / Math.cos((degrees * Math.PI) / 180);
    for (const { name, length } of cell.joints) {
      const [kind, cut] = [name.split("-")[0]!, name.split("|")[0]!.split(".")[1]!];
      if (kind.startsWith("diagonal") || kind === "key") expect(length).toBeCloseTo(pointLength(45), 9);
      else if (cut.startsWith("start")) expect(length).toBeCloseTo(pointLength(67.5), 9);
      else expect(length).toBeCloseTo(((1 - CLOSING_SEAT_SHARE) * T) / Math.cos(Math.PI / 8), 9);
    }
  });

  it("has toes at the points and heels at the shoulders", () => {
    const leg = T / Math.SQRT2;
    expect(jointNamed("diagonal.start-left|wall-left")).toMatchObject({ toe: at(0, 0), heel: at(0, leg) });
    expect(jointNamed("diagonal.end-right|wall-right")).toMatchObject({
      toe: at(60, 60),
      heel: at(60, 60 - leg),
    });
    expect(jointNamed("hinge-1.start-left|wall-left").toe).toEqual(at(0, leg));
    expect(jointNamed("key-2.start-left|wall-bottom")).toMatchObject({
      toe: at(60, 0),
      heel: at(60 - leg, 0),
    });
  });

  it("brings the toes of mitre and seats and the tip of the key together in one place", () => {
    for (const names of [
      [
        "hinge-1.end-right|hinge-2.end-left",
        "key-1.end-right|hinge-1.end-left",
        "key-1.end-left|hinge-2.end-right",
      ],
      [
        "hinge-3.end-left|hinge-4.end-right",
        "key-2.end-left|hinge-3.end-right",
        "key-2.end-right|hinge-4.end-left",
      ],
    ]) {
      const [mitre, ...seats] = names.map((name) => jointNamed(name).toe);
      for (const toe of seats) expect(distance(mitre!, toe)).toBeLessThan(1e-9);
    }
  });

  it("is its own image across the diagonal and by half a turn", () => {
    const images: [string, (p: Vec) => Vec][] = [
      ["mirror", ({ x, y }) => ({ x: y, y: x })],
      ["half turn", ({ x, y }) => ({ x: 60 - x, y: 60 - y })],
    ];
    const corners = outlines(cell).flat();
    for (const [name, image] of images) {
      for (const corner of corners) {
        const nearest = Math.min(...corners.map((other) => distance(image(corner), other)));
        expect(nearest, name).toBeLessThan(1e-9);
      }
    }
  });
});

/** How far the key's shoulder stands from the corner of the hinge's edge, along the seat, mm. */
function closureMiss(strip: number, seatShare?: number): number {
  const miss = cellOf(60, strip, seatShare);
  const key = edgeOf(miss, "key-1.end-right");
  const seat = edgeOf(miss, "hinge-1.end-left");
  // The key's edge begins and the seat's ends where the notch is deepest, or the reverse.
  return Math.max(distance(key.from, seat.to), distance(key.to, seat.from));
}

describe("closure", () => {
  it("needs the share cos 22.5° / √2 = 0.6533", () => {
    expect(CLOSING_SEAT_SHARE.toFixed(4)).toBe("0.6533");
    for (const strip of [1, 3, 3.175, 6]) expect(closureMiss(strip)).toBeLessThan(1e-9);
  });

  it("is missed by two thirds: 0.0435 mm in 3 mm strip, 0.0460 mm in 1/8 in", () => {
    expect(closureMiss(3, 2 / 3).toFixed(4)).toBe("0.0435");
    expect(closureMiss(3.175, 2 / 3).toFixed(4)).toBe("0.0460");
    // (2/3 − 0.6533)·t across the strip, along a seat that leans 22.5°.
    const perStrip = (2 / 3 - Math.cos(Math.PI / 8) / Math.SQRT2) / Math.cos(Math.PI / 8);
    expect(closureMiss(3, 2 / 3)).toBeCloseTo(3 * perStrip, 9);
  });

  it("is missed to the other side by a share that is too small", () => {
    const short = cellOf(60, 3, 0.6);
    expect(edgeOf(short, "key-1.end-right").length).toBeGreaterThan(
      edgeOf(short, "hinge-1.end-left").length + 0.1,
    );
  });
});

describe("a seat of another share", () => {
  it.each([0.5, 0.6, 2 / 3, 0.8])("of %f still reads the key over the whole of its point", (share) => {
    const other = cellOf(60, 3, share);
    for (const { name, length, toe, heel } of other.joints.filter((joint) => joint.name.startsWith("key-"))) {
      expect(length).toBeCloseTo(T / 2 / Math.SQRT1_2, 9);
      const { from, to } = edgeOf(other, name.slice(0, name.indexOf("|")));
      const ends = [distance(toe, from) + distance(heel, to), distance(toe, to) + distance(heel, from)];
      expect(Math.min(...ends)).toBeLessThan(1e-9);
    }
  });
});

/** Where the line of an edge crosses its piece's axis, counted from the piece's middle. */
function reachOf(face: "hinge-1.end-left" | "hinge-1.end-right"): number {
  const { origin, axis } = cell.pieces.find(({ name }) => name === "hinge-1")!;
  const { from, to } = edgeOf(cell, face);
  const along = (p: Vec) => (p.x - origin.x) * Math.cos(axis) + (p.y - origin.y) * Math.sin(axis);
  const across = (p: Vec) => -(p.x - origin.x) * Math.sin(axis) + (p.y - origin.y) * Math.cos(axis);
  const share = across(from) / (across(from) - across(to));
  return along(from) + share * (along(to) - along(from));
}

describe("the seat's stop", () => {
  it("stands 0.1270 of the thickness nearer than the mitre's, read off the edges", () => {
    const difference = reachOf("hinge-1.end-left") - reachOf("hinge-1.end-right");
    expect((difference / T).toFixed(4)).toBe("-0.1270");
    const y = T / 2 - CLOSING_SEAT_SHARE * T;
    expect(difference).toBeCloseTo(2 * y * Math.tan(Math.PI / 8), 9);
  });

  it("is the reach that the cut itself states", () => {
    const [seat, mitre] = ["end-left", "end-right"].map(
      (face) => cell.pieces.find(({ name }) => name === "hinge-1")!.cuts.find((cut) => cut.face === face)!,
    );
    expect(seat!.reach).toBeCloseTo(reachOf("hinge-1.end-left"), 9);
    expect(mitre!.reach).toBeCloseTo(reachOf("hinge-1.end-right"), 9);
    expect([seat!.role, mitre!.role]).toEqual(["seat", "mitre"]);
  });
});

describe("at nominal size nothing overlaps", () => {
  const CELLS = [20, 60, 150].flatMap((opening) =>
    [0.05, 0.1, 0.3].flatMap((ratio) =>
      [0.5, CLOSING_SEAT_SHARE, 2 / 3, 0.8].map((share) => [opening, ratio * opening, share] as const),
    ),
  );

  it.each(CELLS)("opening %f, strip %f, share %f: the areas add up to that of the union", (...size) => {
    const polygons = outlines(cellOf(...size));
    const sum = polygons.reduce((total, corners) => total + areaOf(corners), 0);
    expect(Math.abs(unionArea(polygons) / sum - 1)).toBeLessThan(1e-9);
  });

  it("stays inside the opening", () => {
    for (const { x, y } of outlines(cell).flat()) {
      expect(Math.min(x, y, 60 - x, 60 - y)).toBeGreaterThan(-1e-9);
    }
  });

  it("would be seen to overlap if the key were a hundredth of a millimetre too far in", () => {
    const polygons = outlines(cell);
    const inward = 0.01 / Math.SQRT2;
    polygons[3] = polygons[3]!.map(({ x, y }) => ({ x: x + inward, y: y - inward }));
    const sum = polygons.reduce((total, corners) => total + areaOf(corners), 0);
    expect(unionArea(polygons)).toBeLessThan(sum - 0.01);
  });
});

describe("sizes that make no cell", () => {
  it.each([0, -60, Number.NaN, Number.POSITIVE_INFINITY])("refuses an opening or a strip of %f", (size) => {
    expect(() => cellOf(size, 3)).toThrow(userError("cell"));
    expect(() => cellOf(size, 3)).toThrow(/opening must be a length greater than zero/);
    expect(() => cellOf(60, size)).toThrow(/strip must be a length greater than zero/);
  });

  it.each([0, 1, -0.5, 1.5, Number.NaN])("refuses a seat that takes the share %f", (share) => {
    expect(() => cellOf(60, 3, share)).toThrow(/share of the strip must lie between 0 and 1/);
  });

  it.each([24, 30, 60, 90, 200])("refuses a strip of %f mm in 60 mm as too thick", (strip) => {
    expect(() => cellOf(60, strip)).toThrow(userError("cell"));
    expect(() => cellOf(60, strip)).toThrow(/too thick/);
  });

  it("names the first face that vanishes", () => {
    expect(() => cellOf(60, 24)).toThrow(/hinge-1\.left would vanish/);
  });
});
