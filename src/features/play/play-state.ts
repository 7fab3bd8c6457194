import { at } from "../../core/numeric/dense.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import type { PanelSide } from "../../model/cell/cell.js";
import { MOST_TRIMMED, type Trims } from "./play-cell.js";
import { furthest, type Slider } from "./play-job.js";

/** What is off in one cell of the page: degrees or mm, in the order of the sliders; and what was trimmed, mm. */
export interface CellState {
  readonly values: readonly number[];
  readonly trims: Trims;
}

/** All that the page shows, so that its address can be shared. */
export interface PlayState {
  readonly unit: LengthUnit;
  readonly side: PanelSide;
  /** Times life size; `null` chooses. */
  readonly magnification: number | null;
  /** The challenge that is played, from 0; `null` for none. */
  readonly challenge: number | null;
  /** One cell, or two side by side. */
  readonly cells: readonly [CellState] | readonly [CellState, CellState];
  /** The cell that the sliders move. */
  readonly active: 0 | 1;
}

/** What an address may name. */
export interface PlayNames {
  readonly units: LengthUnit;
  readonly sliders: readonly Slider[];
  readonly pieces: readonly string[];
  readonly magnifications: readonly number[];
  readonly challenges: number;
}

export const nothingOff = ({ sliders }: Pick<PlayNames, "sliders">): CellState => ({
  values: sliders.map(() => 0),
  trims: {},
});

export const firstState = (names: PlayNames): PlayState => ({
  unit: names.units,
  side: "front",
  magnification: null,
  challenge: null,
  cells: [nothingOff(names)],
  active: 0,
});

const LETTERS = ["a", "b"] as const;
/** Digits kept of a number in an address: below a micrometre. */
const DIGITS = 6;

/** The part of the address after `#`; empty for a page as it is opened. */
export function writeAddress(state: PlayState, { units, sliders }: PlayNames): string {
  const { unit, side, magnification, challenge, cells, active } = state;
  const number = (value: number): string => String(Number(value.toFixed(DIGITS)));
  const parts: [string, string][] = [];
  if (unit !== units) parts.push(["unit", unit]);
  if (side !== "front") parts.push(["side", side]);
  if (magnification !== null) parts.push(["times", number(magnification)]);
  if (challenge !== null) parts.push(["challenge", String(challenge + 1)]);
  for (const [c, { values, trims }] of cells.entries()) {
    const letter = at(LETTERS, c);
    if (c === 1) parts.push(["cells", "2"]);
    for (const [i, { id }] of sliders.entries())
      if (at(values, i) !== 0) parts.push([`${letter}.${id}`, number(at(values, i))]);
    for (const [piece, mm] of Object.entries(trims))
      if (mm > 0) parts.push([`${letter}.trim.${piece}`, number(mm)]);
  }
  if (active === 1) parts.push(["moves", "b"]);
  return new URLSearchParams(parts).toString();
}

/** Longest address read. */
const LONGEST = 4000;
/** Most characters shown of what is refused. */
const LONGEST_NAMED = 60;

/**
 * The state that an address names. Whatever this page does not have, or cannot show, is left out and named in `refused`: an address may come from anyone.
 *
 * @param text the part after `#`
 */
export function readAddress(
  text: string,
  names: PlayNames,
): { readonly state: PlayState; readonly refused: readonly string[] } {
  const first = firstState(names);
  if (text.length > LONGEST) return { state: first, refused: ["more than 4000 characters"] };
  const given = new Map(new URLSearchParams(text));
  const refused: string[] = [];
  const refuse = (key: string, value: string): void => {
    refused.push(`${key}=${value}`.slice(0, LONGEST_NAMED));
  };
  /** What a key says, where it says something that the page has. */
  const take = <T>(key: string, read: (value: string) => T | undefined, otherwise: T): T => {
    const value = given.get(key);
    given.delete(key);
    if (value === undefined) return otherwise;
    const taken = read(value);
    if (taken === undefined) refuse(key, value);
    return taken ?? otherwise;
  };
  const oneOf =
    <T extends string | number>(known: readonly T[]) =>
    (value: string): T | undefined =>
      known.find((one) => String(one) === value);
  const challengeNumbers = Array.from({ length: names.challenges }, (_, k) => k + 1);
  const unit = take<LengthUnit>("unit", oneOf(["mm", "in"]), first.unit);
  const side = take<PanelSide>("side", oneOf(["front", "back"]), "front");
  const magnification = take<number | null>("times", oneOf(names.magnifications), null);
  const challenge = take<number | null>("challenge", oneOf(challengeNumbers), null);
  const two = take<string>("cells", oneOf(["2"]), "1") === "2";
  const second = take<string>("moves", oneOf(["b"]), "a") === "b";
  const cell = (): ReadCell => ({ values: names.sliders.map(() => 0), trims: {} });
  const cells = { a: cell(), b: cell() };
  for (const [key, value] of given) if (!readCell(key, value, cells, names)) refuse(key, value);
  return {
    refused,
    state: {
      unit,
      side,
      magnification,
      challenge: challenge === null ? null : challenge - 1,
      cells: two ? [cells.a, cells.b] : [cells.a],
      active: two && second ? 1 : 0,
    },
  };
}

interface ReadCell {
  readonly values: number[];
  readonly trims: Record<string, number>;
}

/** Reads `a.source-1` or `b.trim.hinge-1` into its cell; false where there is no such thing or it cannot be so far off. */
function readCell(
  key: string,
  text: string,
  cells: Readonly<Record<"a" | "b", ReadCell>>,
  { sliders, pieces }: PlayNames,
): boolean {
  const [, letter, trimmed, name] = /^([ab])\.(trim\.)?(.+)$/.exec(key) ?? [];
  // An empty text would be 0.
  const value = text.trim() === "" ? Number.NaN : Number(text);
  if ((letter !== "a" && letter !== "b") || name === undefined || !Number.isFinite(value)) return false;
  const { values, trims } = cells[letter];
  if (trimmed !== undefined) {
    if (!pieces.includes(name) || value < 0 || value > MOST_TRIMMED) return false;
    trims[name] = value;
    return true;
  }
  const i = sliders.findIndex(({ id }) => id === name);
  const slider = sliders[i];
  if (!slider || Math.abs(value) > furthest(slider) + 1e-9) return false;
  values[i] = value;
  return true;
}
