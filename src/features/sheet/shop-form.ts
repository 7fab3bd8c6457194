import { type Document, isScalar, isSeq, parseDocument } from "yaml";
import type { LengthUnit } from "../../core/quantity/index.js";
import { STARTER_SIZES } from "../new/index.js";

// The job file as a form. The file stays the truth: a field writes its one value into it, and all else, comments too, stays as it is.

type Path = readonly (string | number)[];

/** One value of the job, as it is typed. */
export interface ShopField {
  /** Its keys joined by points, as faults name it: `jigs.point-45.ramp`. */
  readonly id: string;
  readonly path: Path;
  readonly label: string;
  /** What it means and how it is counted; may be empty. */
  readonly hint: string;
  readonly value: string;
  /** Values to choose from; a field without is typed. */
  readonly choices?: readonly (readonly [value: string, text: string])[];
  /** Lengths are typed one after the other, with commas. */
  readonly list?: boolean;
}

/** What belongs together on the page. */
export interface ShopPart {
  readonly heading: string;
  readonly says: string;
  /** The jig or set-up it is about, for its picture. */
  readonly of?: { readonly kind: "cell" | "jig" | "set-up"; readonly name: string };
  readonly fields: readonly ShopField[];
  /** Whether it may stay folded away, because its usual values serve. */
  readonly folded?: boolean;
}

/** Values by their keys; what is not a group reads as one without keys. */
type Group = Readonly<Record<string, unknown>>;
const group = (value: unknown): Group =>
  typeof value === "object" && value !== null && !Array.isArray(value) ? (value as Group) : {};

const text = (value: unknown): string =>
  Array.isArray(value)
    ? value.map(text).join(", ")
    : value === undefined || value === null
      ? ""
      : String(value);

const YES_NO = {
  shims: [
    ["", "by shims under the ramp"],
    ["true", "not at all: it is fixed"],
  ],
  stop: [
    ["", "in steps"],
    ["true", "not at all: it is fixed"],
  ],
} as const;

/** The parts of the form, in the order of the page, from the text of a job file that can be read. */
export function shopParts(job: string): ShopPart[] {
  const data = group(parseDocument(job).toJS());
  const field = (path: Path, label: string, hint = "", more: Partial<ShopField> = {}): ShopField => {
    const value = path.reduce<unknown>((at, step) => group(at)[String(step)], data);
    return { id: path.join("."), path, label, hint, value: text(value), ...more };
  };
  const named = (key: string): [string, Group][] =>
    Object.entries(group(data[key])).map(([name, value]) => [name, group(value)]);
  const sizes = Object.keys(group(data.sizes));
  return [
    {
      heading: "The cell",
      says: `Pattern ${text(data.pattern)}. ${lengthsSay(data)}`,
      of: { kind: "cell", name: "" },
      fields: [
        field(["title"], "Name of the job"),
        field(["opening"], "Opening", "the clear side of one cell, between the faces of the grid strips"),
        field(["strip"], "Strip", "thickness of the infill strips as seen from the face"),
        ...sizes.map((name) => field(["sizes", name], name)),
        field(["limits", "gap"], "Widest gap you accept"),
        field(
          ["limits", "snug"],
          "Deepest press you accept",
          "pressed deeper than this, a piece will not go in by hand",
        ),
        field(["lengths"], "Pieces are", "", {
          choices: [
            ["", "used as the stops cut them"],
            ["fitted", "shortened one by one until they just go in"],
          ],
          value: text(data.lengths) === "fitted" ? "fitted" : "",
        }),
      ],
    },
    ...named("jigs").map(([name, jig]): ShopPart => {
      const at = ["jigs", name];
      const locked = text(jig.locked) === "true";
      return {
        heading: `Jig ${name}`,
        says: "A ramp that guides the blade.",
        of: { kind: "jig", name },
        fields: [
          field([...at, "ramp"], "Angle of the ramp", "counted from a square cut, as on its label"),
          field(
            [...at, "trusted-to"],
            "Trusted to ±",
            "two times in three the ramp is this close to its label",
          ),
          field([...at, "fence"], "The fence bears on", "", {
            choices: [
              ["centred", "both sides: it centres the strip"],
              ["long-side", "the long side of the bevel"],
              ["short-side", "the short side of the bevel"],
            ],
            value: text(jig.fence) || "centred",
          }),
          field([...at, "locked"], "The ramp can be adjusted", "", {
            choices: YES_NO.shims,
            value: locked ? "true" : "",
          }),
          ...(locked
            ? []
            : [
                field(
                  [...at, "shims", "base"],
                  "From shim to fixed end",
                  "a shim under one end turns the ramp about the other",
                ),
                field([...at, "shims", "leaves"], "Shims you have", "thicknesses, with commas between them", {
                  list: true,
                }),
              ]),
        ],
      };
    }),
    ...named("set-ups").flatMap(([name, setUp]): ShopPart[] => {
      const at = ["set-ups", name, "stop"];
      if (setUp.stop === undefined) return [];
      const locked = text(group(setUp.stop).locked) === "true";
      return [
        {
          heading: `Stop of ${name}`,
          says: `Sets the length of ${text(setUp.cuts)} on jig ${text(setUp.jig)}.`,
          of: { kind: "set-up", name },
          fields: [
            field(
              [...at, "trusted-to"],
              "Trusted to ±",
              "two times in three the stop is this close to where it should be",
            ),
            field([...at, "locked"], "The stop can be moved", "", {
              choices: YES_NO.stop,
              value: locked ? "true" : "",
            }),
            ...(locked ? [] : [field([...at, "step"], "Smallest step", "the least that you can move it by")]),
          ],
        },
      ];
    }),
    ...named("instruments").map(([name, instrument]): ShopPart => {
      const at = ["instruments", name];
      const leaves = instrument.leaves !== undefined;
      return {
        heading: `Instrument ${name}`,
        says: `Reads ${text(instrument.reads)}.`,
        fields: [
          ...(leaves
            ? [
                field(
                  [...at, "leaves"],
                  "Its leaves",
                  "thicknesses from thin to thick, with commas between them",
                  { list: true },
                ),
              ]
            : [field([...at, "resolution"], "Smallest step it shows")]),
          field(
            [...at, "repeatability"],
            "Repeats to",
            "how much readings of the same thing differ, as a standard deviation; may stay empty",
          ),
        ],
      };
    }),
    {
      heading: "How evenly you work",
      says: "Standard deviations. If you do not know them, leave them as they are.",
      folded: true,
      fields: [
        field(["scatter", "angle"], "Angle, from cut to cut"),
        field(["scatter", "length"], "Length, from cut to cut"),
        field(["scatter", "thickness"], "Thickness, from piece to piece"),
        field(["thickness", "trusted-to"], "Thickness of the whole batch, ±"),
        field(["grid", "offset"], "Walls of the grid, each, ±"),
        field(["grid", "turn"], "Walls of the grid, turned, ±"),
      ],
    },
  ];
}

const lengthsSay = (data: Group): string =>
  unitsOf(data) === "in"
    ? "Lengths without a unit are in inches; 2 3/8, 7/64, 0.0625, 5 thou and 60 mm are understood."
    : "Lengths without a unit are in mm; 2 3/8 in and 5 thou are understood too.";

const unitsOf = (data: Group): LengthUnit => (text(data.units) === "in" ? "in" : "mm");

const PLAIN_NUMBER = /^-?(?:0|[1-9]\d*)(?:\.\d+)?$/;

/** As YAML has it: a number where it is one, for `5` and `"5"` are not the same to a reader of the file. */
const scalarOf = (typed: string): string | number | boolean =>
  typed === "true" ? true : PLAIN_NUMBER.test(typed) ? Number(typed) : typed;

/** The text of the job file with one value changed; an empty one is taken out, so that its default holds. */
export function withValue(
  job: string,
  { path, list }: Pick<ShopField, "path" | "list">,
  typed: string,
): string {
  const document = parseDocument(job);
  const value = typed.trim();
  if (value === "") document.deleteIn(path);
  else if (list)
    setList(
      document,
      path,
      value.split(/[,;]/).map((one) => scalarOf(one.trim())),
    );
  else setScalar(document, path, scalarOf(value));
  if (path.at(-1) === "locked" && value === "") requireAdjusting(document, path.slice(0, -1));
  return document.toString({ lineWidth: 0, flowCollectionPadding: true });
}

/** Keeps the comment beside the old value. */
function setScalar(document: Document, path: Path, value: string | number | boolean): void {
  const node = document.getIn(path, true);
  if (isScalar(node)) {
    node.value = value;
    delete node.source;
    // A style that was right for the old value need not be for the new one.
    delete (node as { type?: unknown }).type;
  } else document.setIn(path, document.createNode(value));
}

function setList(document: Document, path: Path, values: readonly (string | number | boolean)[]): void {
  const old = document.getIn(path, true);
  const node = document.createNode(values, { flow: true });
  if (isSeq(old) && old.comment) node.comment = old.comment;
  document.setIn(path, node);
}

/** Something that is fixed no longer needs a way to be adjusted. */
function requireAdjusting(document: Document, path: Path): void {
  const { base, leaves, stopStep } = STARTER_SIZES[unitsOf(group(document.toJS()))];
  if (path[0] === "jigs" && !document.hasIn([...path, "shims"])) {
    document.setIn([...path, "shims", "base"], base);
    setList(
      document,
      [...path, "shims", "leaves"],
      leaves
        .replace(/[[\]]/g, "")
        .split(",")
        .map((one) => scalarOf(one.trim())),
    );
  }
  if (path[0] === "set-ups" && !document.hasIn([...path, "step"]))
    document.setIn([...path, "step"], stopStep);
}

/** The text of the job file with the known moves of a new round, as `sukima calibrate` prints them to be added. */
export function withRound(job: string, round: string): string {
  const document = parseDocument(job);
  const added = group(group(parseDocument(round).toJS()).rounds);
  for (const [name, moves] of Object.entries(added))
    document.setIn(["rounds", name], document.createNode(moves, { flow: true }));
  return document.toString({ lineWidth: 0, flowCollectionPadding: true });
}
