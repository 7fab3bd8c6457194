/** The least that a job file holds. */
export const LEAST = "pattern: asanoha-square\nopening: 60\nstrip: 3\n";

/** A job file with every section. */
export const FULL = `title: Alcove screen, new jigs
units: mm
pattern: asanoha-square
opening: 60
strip: 3
depth: 12 mm
jigs:
  point-45: { ramp: 45 deg, fence: centred, trusted-to: 0.4 deg, shims: { base: 90, leaves: [0.1, 0.2, 0.3, 0.5] } }
  point-67: { ramp: 67.5 deg, fence: short-side, locked: true, trusted-to: 0 }
  bevel-22: { ramp: 22.5 deg, fence: long-side, trusted-to: 0.4 deg, locked: true }
set-ups:
  diagonal-start: { jig: point-45, cuts: [diagonal.start] }
  diagonal-end: { jig: point-45, cuts: [diagonal.end], stop: { trusted-to: 0.1, step: 0.05 } }
  hinge-point: { jig: point-67, cuts: [hinge.point] }
  hinge-end: { jig: bevel-22, cuts: [hinge.mitre, hinge.seat], stop: { trusted-to: 0.2, locked: true } }
  key-start: { jig: point-45, cuts: [key.start] }
  key-end: { jig: point-45, cuts: [key.end], stop: { step: 0.05 } }
instruments:
  feeler: { reads: gap, reach: widest, leaves: [0.05, 0.1, 0.15, 0.2] }
  shim-strips: { reads: gap, reach: [toe, heel], leaves: [0.02, 0.03, 0.05] }
  loupe: { reads: gap, reach: [toe, heel], resolution: 0.02 }
  angle-gauge: { reads: angle, resolution: 0.1 deg, repeatability: 0.05 deg }
  angle-box: { reads: [angle, ramp], resolution: 0.1 deg }
  rule: { reads: shoulder, resolution: 0.05 }
  caliper: { reads: [length, thickness], resolution: 0.01, repeatability: 0.01 }
scatter: { angle: 0.06 deg, length: 0.03, thickness: 0.02 }
thickness: { trusted-to: 0.04 }
grid: { offset: 0.03, turn: 0.01 deg }
limits: { gap: 0.12, snug: 0.03 }
panel:
  rows: 3
  columns: 4
  diagonals: parallel
  border: { thickness: 9, turn: 0.02 deg }
  laps: { way: indexed, bundled: true, place: 0.04, width: 3.05 mm, depth: 6, depth-scatter: 0.1 }
  grid-stock: own
  racked: 0.1 deg
  measured: { pieces: 0.02, openings: 0.03 }
  frame: { width: 280, height: 220, play: 1 }
`;
