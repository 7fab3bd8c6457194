/**
 * Every key of a job file, with a value that it takes; `*` stands for a name of the joiner's own. Messages offer these,
 * and the keys known in each group are read off here.
 */
export const JOB_EXAMPLES: Readonly<Record<string, string>> = {
  title: "Alcove screen",
  units: "mm",
  pattern: "asanoha-square",
  opening: "60 mm",
  strip: "3 mm",
  "seat-share": "0.6533",
  order: "exact",
  "press-ratio": "1000",
  "as-cut": "{ pieces: { hinge-1: { cuts: { end-left: { angle: 0.2 deg } } } } }",
  "as-cut.pieces": "{ hinge-1: { cuts: { end-left: { angle: 0.2 deg } } } }",
  "as-cut.pieces.*": "{ cuts: { end-left: { angle: 0.2 deg } } }",
  "as-cut.pieces.*.thickness": "0.02 mm",
  "as-cut.pieces.*.cuts": "{ end-left: { angle: 0.2 deg, axial: -0.05 mm } }",
  "as-cut.pieces.*.cuts.*": "{ angle: 0.2 deg, axial: -0.05 mm }",
  "as-cut.pieces.*.cuts.*.angle": "0.2 deg",
  "as-cut.pieces.*.cuts.*.axial": "-0.05 mm",
  "as-cut.walls": "{ wall-left: { turn: 0.02 deg, offset: 0.01 mm } }",
  "as-cut.walls.*": "{ turn: 0.02 deg, offset: 0.01 mm }",
  "as-cut.walls.*.turn": "0.02 deg",
  "as-cut.walls.*.offset": "0.01 mm",
  jigs: "{ point-45: { ramp: 45 deg, locked: true } }",
  "jigs.*": "{ ramp: 45 deg, locked: true }",
  "jigs.*.ramp": "45 deg",
  "jigs.*.fence": "centred",
  "jigs.*.trusted-to": "0.4 deg",
  "jigs.*.shims": "{ base: 90 mm, leaves: [0.1 mm, 0.2 mm, 0.3 mm] }",
  "jigs.*.shims.base": "90 mm",
  "jigs.*.shims.leaves": "[0.1 mm, 0.2 mm, 0.3 mm]",
  "jigs.*.locked": "true",
  "set-ups": "{ diagonal-start: { jig: point-45, cuts: [diagonal.start] } }",
  "set-ups.*": "{ jig: point-45, cuts: [diagonal.start] }",
  "set-ups.*.jig": "point-45",
  "set-ups.*.cuts": "[diagonal.start]",
  "set-ups.*.stop": "{ trusted-to: 0.1 mm, step: 0.05 mm }",
  "set-ups.*.stop.trusted-to": "0.1 mm",
  "set-ups.*.stop.step": "0.05 mm",
  "set-ups.*.stop.locked": "true",
  instruments: "{ feeler: { reads: gap, reach: widest, leaves: [0.05 mm, 0.1 mm, 0.2 mm] } }",
  "instruments.*": "{ reads: gap, reach: widest, leaves: [0.05 mm, 0.1 mm, 0.2 mm] }",
  "instruments.*.reads": "gap",
  "instruments.*.reach": "widest",
  "instruments.*.leaves": "[0.05 mm, 0.1 mm, 0.2 mm]",
  "instruments.*.resolution": "0.01 mm",
  "instruments.*.repeatability": "0.01 mm",
  "instruments.*.bias": "0.01 mm",
  "instruments.*.bias-trusted-to": "0.01 mm",
  rounds: "{ second: { stops: { diagonal-end: { by: -0.15 mm } } } }",
  "rounds.*": "{ stops: { diagonal-end: { by: -0.15 mm } } }",
  "rounds.*.ramps": "{ point-45: { by: 0.3 deg } }",
  "rounds.*.ramps.*": "{ by: 0.3 deg, trusted-to: 0.05 deg }",
  "rounds.*.ramps.*.by": "0.3 deg",
  "rounds.*.ramps.*.shim": "0.3 mm",
  "rounds.*.ramps.*.trusted-to": "0.05 deg",
  "rounds.*.stops": "{ diagonal-end: { by: -0.15 mm } }",
  "rounds.*.stops.*": "{ by: -0.15 mm, trusted-to: 0.02 mm }",
  "rounds.*.stops.*.by": "-0.15 mm",
  "rounds.*.stops.*.trusted-to": "0.02 mm",
  benches: "{ corner-90: { trusted-to: 0.05 deg } }",
  "benches.*": "{ trusted-to: 0.05 deg }",
  "benches.*.trusted-to": "0.05 deg",
  mistakes: "0.05",
  lengths: "as-cut",
  costs: "{ cells: 40, adjusting: 0.5 }",
  "costs.open-cell": "1",
  "costs.tight-cell": "0.1",
  "costs.gap": "0.1",
  "costs.adjusting": "0.5",
  "costs.trial": "1",
  "costs.cells": "20",
  "trial-costs": "{ piece: 4, benches: { corner-90: { minutes: 2 } } }",
  "trial-costs.piece": "4",
  "trial-costs.benches": "{ corner-90: { minutes: 2 } }",
  "trial-costs.benches.*": "{ minutes: 2, pieces: 1 }",
  "trial-costs.benches.*.minutes": "2",
  "trial-costs.benches.*.pieces": "1",
  "trial-costs.instruments": "{ feeler: 0.5 }",
  "trial-costs.instruments.*": "0.5",
  records: "[jigs.yaml]",
  widen: "{ ramps: 0.05 deg, stops: 0.05 mm }",
  "widen.ramps": "0.05 deg",
  "widen.stops": "0.05 mm",
  scatter: "{ angle: 0.05 deg, length: 0.02 mm, thickness: 0.01 mm }",
  "scatter.angle": "0.05 deg",
  "scatter.length": "0.02 mm",
  "scatter.thickness": "0.01 mm",
  thickness: "{ trusted-to: 0.03 mm }",
  "thickness.trusted-to": "0.03 mm",
  grid: "{ offset: 0.02 mm, turn: 0.02 deg }",
  "grid.offset": "0.02 mm",
  "grid.turn": "0.02 deg",
  limits: "{ gap: 0.1 mm, snug: 0.02 mm }",
  "limits.gap": "0.1 mm",
  "limits.snug": "0.02 mm",
};

type Path = readonly (string | number)[];

/** A path as the table above spells it: names of the joiner's own become `*`, places in a list are left out. */
function general(path: Path): string {
  let spelt = "";
  for (const step of path) {
    if (typeof step === "number") continue;
    const own = spelt === "" ? step : `${spelt}.${step}`;
    const named = `${spelt}.*`;
    spelt = !Object.hasOwn(JOB_EXAMPLES, own) && Object.hasOwn(JOB_EXAMPLES, named) ? named : own;
  }
  return spelt;
}

/** The example for a path with its key: `ramp: 45 deg`. At the top of the file, the least that a job needs. */
export function exampleFor(path: Path): string {
  const key = path.findLast((step) => typeof step === "string");
  if (key === undefined) return "{ pattern: asanoha-square, opening: 60 mm, strip: 3 mm }";
  return `${key}: ${JOB_EXAMPLES[general(path)] ?? "its value"}`;
}

/** The keys that the group at a path may have. */
export function keysKnown(path: Path): string[] {
  const group = path.length === 0 ? "" : `${general(path)}.`;
  return Object.keys(JOB_EXAMPLES)
    .filter((key) => key.startsWith(group))
    .map((key) => key.slice(group.length))
    .filter((key) => !key.includes("."));
}
