import type { Drawing } from "../../src/render/svg.js";

/** An element of a drawing: its attributes, and the text in it. */
interface SvgElement {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly text: string;
}

const ENTITIES: Readonly<Record<string, string>> = { lt: "<", gt: ">", quot: '"', "#39": "'", amp: "&" };
const decoded = (text: string): string =>
  text.replaceAll(/&(lt|gt|quot|#39|amp);/g, (_, name) => ENTITIES[name]!);

/** Elements of a drawing that hold no others, in the order in which they are drawn; those of one kind where it is given. */
export const elementsOf = (drawing: Drawing | { toString(): string }, kind = "[a-z]+"): SvgElement[] =>
  [
    ...("svg" in drawing ? drawing.svg : String(drawing)).matchAll(
      new RegExp(`<(${kind})((?: [\\w-]+="[^"]*")*)>([^<]*)</\\1>`, "g"),
    ),
  ].map(([, name, attributes, text]) => ({
    name: name!,
    text: decoded(text!),
    attributes: Object.fromEntries(
      [...attributes!.matchAll(/([\w-]+)="([^"]*)"/g)].map(([, key, value]) => [key!, decoded(value!)]),
    ),
  }));

/** Elements of a kind of which an attribute has a value. */
export const elementsWith = (drawing: Drawing, kind: string, key: string, value: string): SvgElement[] =>
  elementsOf(drawing, kind).filter(({ attributes }) => attributes[key] === value);

/** All that is written in a drawing. */
export const writtenIn = (drawing: Drawing): string[] => elementsOf(drawing, "text").map(({ text }) => text);

/** Corners of a polygon, px. */
export const cornersOf = ({ attributes: { points = "" } }: SvgElement): { x: number; y: number }[] =>
  points.split(" ").map((pair) => {
    const [x, y] = pair.split(",").map(Number);
    return { x: x!, y: y! };
  });

/** Numeric attributes of an element. */
export const numbersOf = ({ attributes }: SvgElement): Record<string, number> =>
  Object.fromEntries(Object.entries(attributes).map(([key, value]) => [key, Number(value)]));
