import type { Cell } from "../../lattice/cell.js";
import type { Place } from "../../readings/instrument.js";
import { listed, nearest } from "../words.js";
import type { Row } from "./row.js";

/** The full name of the joint that a cell names, or a part of whose name it gives; `null` for the widest of all. */
export function readJoint(row: Row, cell: Cell, place: Place | undefined): string | null | undefined {
  const typed = row.get("joint").toLowerCase();
  const names = cell.joints.map(({ name }) => name);
  const parts = partsOfJoints(cell);
  if (typed === "") {
    if (place === "widest" || place === undefined) return null;
    const rule = `without a joint, at must be widest; a ${place} belongs to one joint`;
    return row.refuse("joint", { problem: "nothing is written", rule }, clearPart(names[0]!, parts));
  }
  if (names.includes(typed)) return typed;
  const found = parts.get(typed) ?? [];
  if (found.length === 1) return found[0];
  if (found.length > 1) {
    const problem = `more than one joint of ${cell.name} has this part`;
    return row.refuse("joint", { problem, rule: `write which one: ${listed(found, "or")}` }, found[0]!);
  }
  // The same two faces the other way round are the likeliest slip.
  const near = nearest(typed.split("|").reverse().join("|"), names) ?? nearest(typed, [...parts.keys()]);
  const rule =
    near === undefined
      ? `the joints are ${listed(names)}`
      : `did you mean ${near}? A joint has its full name, such as ${names[0]}, or a part of it that no other has`;
  const meant = near === undefined ? undefined : parts.get(near);
  const example = meant?.length === 1 ? near! : clearPart(meant?.[0] ?? names[0]!, parts);
  return row.refuse("joint", { problem: `there is no such joint in ${cell.name}`, rule }, example);
}

/** Joints by the parts of their names. */
type Parts = ReadonlyMap<string, readonly string[]>;

const known = new WeakMap<Cell, Parts>();

/** Every run of a joint's name that begins and ends at a point or a bar, with the joints that have it: `point.start-left|line` has `start-left`. */
function partsOfJoints(cell: Cell): Parts {
  const before = known.get(cell);
  if (before) return before;
  const parts = new Map<string, string[]>();
  for (const { name } of cell.joints)
    for (const part of new Set(runsOf(name))) parts.set(part, [...(parts.get(part) ?? []), name]);
  known.set(cell, parts);
  return parts;
}

function runsOf(name: string): string[] {
  const marks = [-1, ...[...name.matchAll(/[.|]/g)].map(({ index }) => index), name.length];
  return marks.flatMap((from, i) => marks.slice(i + 1).map((to) => name.slice(from + 1, to)));
}

/** The shortest part of a joint's name that no other joint has. */
function clearPart(name: string, parts: Parts): string {
  const clear = runsOf(name).filter((part) => parts.get(part)?.length === 1);
  return clear.reduce((best, part) => (part.length < best.length ? part : best), name);
}
