import { rotate } from "../../geometry/vector.js";
import type { Arrangement } from "../../lattice/arrangement.js";

/** The same arrangement turned by `angle` (rad) about the origin. */
export function turned(arrangement: Arrangement, angle: number): Arrangement {
  const { walls, pieces, pins } = arrangement;
  return {
    ...arrangement,
    walls: walls.map((wall) => ({
      ...wall,
      middle: rotate(wall.middle, angle),
      normal: wall.normal + angle,
    })),
    pieces: pieces.map((piece) => ({
      ...piece,
      origin: rotate(piece.origin, angle),
      axis: piece.axis + angle,
    })),
    ...(pins
      ? { pins: pins.map((pin) => ({ ...pin, at: rotate(pin.at, angle), stops: pin.stops + angle })) }
      : {}),
  };
}
