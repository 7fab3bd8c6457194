/**
 * Every key of a job file, with an example value; `*` stands for a name chosen by the joiner. Messages show these values,
 * and the known keys of each group come from this table.
 */
export const JOB_EXAMPLES: Readonly<Record<string, string>> = {
  title: "Alcove screen",
  units: "mm",
  pattern: "asanoha-square",
  opening: "60 mm",
  strip: "3 mm",
  depth: "12 mm",
  "seat-share": "0.6533",
  sizes: "{ height: 45 mm }",
  "sizes.*": "45 mm",
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
  "as-cut.pieces.*.cuts.*.lean": "0.3 deg",
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
  "jigs.*.lean": "0.2 deg",
  "jigs.*.lean-trusted-to": "0.1 deg",
  "jigs.*.rolled": "true",
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
  "costs.tight-piece": "0.2",
  "costs.loose-piece": "0.1",
  "costs.gap": "0.05",
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
  panel: "{ rows: 3, columns: 4 }",
  "panel.rows": "3",
  "panel.columns": "4",
  "panel.diagonals": "alternate",
  "panel.border": "{ thickness: 9 mm, turn: 0.01 deg }",
  "panel.border.thickness": "9 mm",
  "panel.border.turn": "0.01 deg",
  "panel.laps": "{ way: stop, place: 0.03 mm }",
  "panel.laps.way": "stop",
  "panel.laps.bundled": "true",
  "panel.laps.place": "0.03 mm",
  "panel.laps.width": "3.05 mm",
  "panel.laps.depth": "6 mm",
  "panel.laps.depth-scatter": "0.05 mm",
  "panel.grid-stock": "same",
  "panel.racked": "0.05 deg",
  "panel.measured": "{ pieces: 0.01 mm, openings: 0.02 mm }",
  "panel.measured.pieces": "0.01 mm",
  "panel.measured.openings": "0.02 mm",
  "panel.frame": "{ width: 280 mm, height: 220 mm, play: 1 mm }",
  "panel.frame.width": "280 mm",
  "panel.frame.height": "220 mm",
  "panel.frame.play": "1 mm",
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
  season:
    "{ wood: Sitka spruce, shop: { temperature: 20 C, humidity: 55 % }, year: { winter: { temperature: 20 C, humidity: 35 % }, summer: { temperature: 24 C, humidity: 65 % } } }",
  "season.wood": "Sitka spruce",
  "season.rings": "radial",
  "season.grid-wood": "Sitka spruce",
  "season.grid-rings": "45 deg",
  "season.shop": "{ temperature: 20 C, humidity: 55 % }",
  "season.shop.temperature": "20 C",
  "season.shop.humidity": "55 %",
  "season.shop.moisture": "9 %",
  "season.year":
    "{ winter: { temperature: 20 C, humidity: 35 % }, summer: { temperature: 24 C, humidity: 65 % } }",
  "season.year.*": "{ temperature: 20 C, humidity: 35 % }",
  "season.year.*.temperature": "20 C",
  "season.year.*.humidity": "35 %",
  "season.year.*.moisture": "7 %",
  "season.woods": "{ my wood: { radial: 0.0012, tangential: 0.0024 } }",
  "season.woods.*": "{ radial: 0.0012, tangential: 0.0024 }",
  "season.woods.*.radial": "0.0012",
  "season.woods.*.tangential": "0.0024",
  "season.woods.*.starts-at": "30",
  "season.coefficient-trusted-to": "0.2",
  "season.moisture-trusted-to": "0.5",
  "season.rings-trusted-to": "10 deg",
  stock: "{ lengths: [900 mm], kerf: 1.2 mm }",
  "stock.lengths": "[900 mm]",
  "stock.kerf": "1.2 mm",
  "stock.allowance": "5 mm",
  "stock.ends": "10 mm",
  "stock.sure": "0.95",
  "stock.mishaps": "0.03",
  tolerances: "{ chance: 0.9 }",
  "tolerances.chance": "0.9",
  "tolerances.costs": "{ ramps: 2, grid: 0.5 }",
  "tolerances.costs.ramps": "1",
  "tolerances.costs.stops": "1",
  "tolerances.costs.thickness": "1",
  "tolerances.costs.grid": "1",
  "tolerances.costs.cuts": "1",
  "tolerances.finest": "0.05",
  "tolerances.loosest": "5",
};

type Path = readonly (string | number)[];

/** The keys of a kind of file, with examples. */
export interface Spelling {
  /** The example for a path with its key: `ramp: 45 deg`. For the top of the file, the smallest valid file. */
  readonly exampleFor: (path: Path) => string;
  /** The keys that the group at a path may have. */
  readonly keysKnown: (path: Path) => string[];
}

/** Makes a {@link Spelling} from a table of keys with examples; `least` is the smallest valid file. */
export function spellingOf(examples: Readonly<Record<string, string>>, least: string): Spelling {
  /** A path as written in the table: names chosen by the joiner become `*`, and list indices are left out. */
  const general = (path: Path): string => {
    let spelt = "";
    for (const step of path) {
      if (typeof step === "number") continue;
      const own = spelt === "" ? step : `${spelt}.${step}`;
      const named = `${spelt}.*`;
      spelt = !Object.hasOwn(examples, own) && Object.hasOwn(examples, named) ? named : own;
    }
    return spelt;
  };
  return {
    exampleFor: (path) => {
      const key = path.findLast((step) => typeof step === "string");
      return key === undefined ? least : `${key}: ${examples[general(path)] ?? "its value"}`;
    },
    keysKnown: (path) => {
      const group = path.length === 0 ? "" : `${general(path)}.`;
      return Object.keys(examples)
        .filter((key) => key.startsWith(group))
        .map((key) => key.slice(group.length))
        .filter((key) => !key.includes("."));
    },
  };
}

export const JOB_SPELLING: Spelling = spellingOf(
  JOB_EXAMPLES,
  "{ pattern: asanoha-square, opening: 60 mm, strip: 3 mm }",
);
