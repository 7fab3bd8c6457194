import type { SourceEstimate } from "../../calibrate/fit-sources.js";
import type { Side } from "../../calibrate/two-sides.js";
import type { Job } from "../../job/job.js";
import { chanceText, errorText } from "./shop-numbers.js";

type Units = Pick<Job, "units">;

/** What a source of either sign does, in the words of the card. */
const SIGN_WORDS: Readonly<Record<string, readonly [above: string, below: string]>> = {
  lean: ["out at the front", "out at the back"],
  ramp: ["steeper than its label", "shallower than its label"],
  stop: ["long", "short"],
};
const PLAIN_WORDS = ["above zero", "below zero"] as const;

export const signWords = ({ kind }: Pick<SourceEstimate, "kind">): readonly [string, string] =>
  SIGN_WORDS[kind] ?? PLAIN_WORDS;

/** An error that may be on either side of zero, `+0.47° or −0.46° (± 0.12°)`, as it stands after the known moves; U = 2·u of the wider side. `null` where its sign is told. */
export function sidedError(source: SourceEstimate, { units }: Units): string | null {
  const { sides, now, estimate, angular } = source;
  if (!sides) return null;
  const u = Math.max(sides.above.standardUncertainty, sides.below.standardUncertainty);
  const written = ({ estimate: at }: Side): [string, string] => {
    const [value = "", U = ""] = errorText(
      at + now.estimate - estimate,
      u,
      angular ? "angle" : "length",
      units,
    ).split(" ± ");
    return [value, U];
  };
  const [above, U] = written(sides.above);
  const [below] = written(sides.below);
  return `${above} or ${below} (± ${U})`;
}

/** That the readings leave signs open, what that means, and what to read: a sentence for the leans, one for each other source; none where all signs are told. */
export function untoldSignTexts(sources: readonly SourceEstimate[], job: Units): string[] {
  const open = sources.filter(({ sides }) => sides !== null);
  const leans = open.filter(({ kind }) => kind === "lean");
  const others = open.filter(({ kind }) => kind !== "lean");
  return [
    ...(leans.length === 0 ? [] : [leansText(leans, job)]),
    ...others.map(
      (source) =>
        `The readings tell how far the ${source.name} is off but not which way: ${sidedError(source, job)}; ${signWords(source)[0]} with a chance of ${shareAbove(source)}. Take the reading that tells it before you move anything.`,
    ),
  ];
}

function leansText(leans: readonly SourceEstimate[], job: Units): string {
  const one = leans.length === 1;
  const sizes = leans
    .map((source) => `${source.of} ${sidedError(source, job)}, + with a chance of ${shareAbove(source)}`)
    .join("; ");
  return `The readings tell how far ${one ? "this ramp leans" : "these ramps lean"} but not which way: ${sizes}. + means that ${one ? "its" : "their"} cuts stand out at the front, − at the back. A gap read at the wider side looks the same either way: read one at the front and at the back, and write the side down, before you square ${one ? "the ramp" : "a ramp"}.`;
}

const shareAbove = ({ sides }: SourceEstimate): string => chanceText(sides?.above.share ?? 1);
