import { DEGREE } from "../core/geometry.js";
import type { MisfitReason } from "../inference/misfit/departure.js";
import type { FitVerdict, LikelyReason, Misfit } from "../inference/misfit/judge-readings.js";
import type { Job } from "../model/job/job.js";
import type { Instrument } from "../model/readings.js";
import type { SourceId } from "../model/source-id.js";
import { angleText, chanceText, smallLength } from "./shop-numbers.js";
import { sourceText } from "./source-text.js";

// Why readings may not look like what the job would give, in shop words: docs/model.md says how the reasons are compared.

type Shop = Pick<Job, "units" | "instruments">;

/** Whether the readings fit, in one sentence, and which of them to look at again. */
export function fitSentence({ verdict, outliers }: Pick<FitVerdict, "verdict" | "outliers">): string {
  const named = outliers.length > 0 ? ` Look again at ${outliers.join(", ")}.` : "";
  if (verdict === "fits") return `The readings scatter as the job says they should.${named}`;
  if (verdict === "doubtful") return `The readings scatter somewhat more than the job says.${named}`;
  return `The readings do not look like what the job would give.${named}`;
}

/** The likely reason, how sure it is, what else it may be, and what to do next; whole sentences. */
export function misfitTexts(misfit: Misfit, job: Shop): string[] {
  const { named, runnerUp, explained, widening } = misfit;
  const wider =
    widening > 1
      ? [`Until that is settled, every ± and interval is taken ${widening.toFixed(1)} times as wide.`]
      : [];
  if (named === null)
    return [
      "No reason was found: no gauge that reads too much or too little, no second batch of stock, no drift with the order of cutting, no exchanged readings, no single odd trial and no larger scatter explains it.",
      "Take again the readings that sit farthest from what is expected.",
      ...wider,
    ];
  return [
    `They look as if ${clauseOf(named, job)} (chance ${chanceText(named.chance)}).`,
    ...(runnerUp ? [`It may also be that ${clauseOf(runnerUp, job)} (${chanceText(runnerUp.chance)}).`] : []),
    nextOf(named.reason, job),
    ...(explained ? [] : ["That does not explain all of it."]),
    ...wider,
  ];
}

/** What may be the matter, as a clause: `the feeler reads 0.030 mm too much`. */
export function clauseOf({ reason, size }: Pick<LikelyReason, "reason" | "size">, { units }: Shop): string {
  const length = (mm: number): string => smallLength(Math.abs(mm), units);
  switch (reason.kind) {
    case "gauge bias": {
      const by = size === null ? "" : `${reason.angular ? angleText(Math.abs(size)) : length(size)} `;
      return `the ${reason.instrument} reads ${by}too ${(size ?? 0) < 0 ? "little" : "much"}`;
    }
    case "mixed stock": {
      const by = size === null ? "" : `, by ${length(size)}`;
      return `two batches of stock were mixed: ${namesOf(reason.trials)} ${reason.trials.length === 1 ? "is" : "are"} ${(size ?? 0) < 0 ? "thinner" : "thicker"} than the rest${by}`;
    }
    case "drift":
      return driftClause(reason.sources, size, units);
    case "swapped joint": {
      const pairs = reason.pairs.map(([a, b]) => `${a} with ${b}`);
      return `readings were exchanged: ${pairs.join(", ")}`;
    }
    case "odd trial":
      return `trial ${reason.trial} is unlike the others`;
    case "larger scatter":
      return scatterClause(reason);
    default:
      return reason satisfies never;
  }
}

const MOST_NAMES = 6;

function namesOf(names: readonly string[]): string {
  const told = names.slice(0, MOST_NAMES);
  const more = names.length - told.length;
  if (more > 0) return `${told.join(", ")} and ${more} more`;
  return told.length < 2 ? told.join("") : `${told.slice(0, -1).join(", ")} and ${told.at(-1)}`;
}

/** What a source that grows makes of the cuts, and what one that falls does. */
const DRIFTS: Partial<Record<SourceId["kind"], readonly [string, string]>> = {
  ramp: ["a sharper point", "a blunter point"],
  stop: ["longer", "shorter"],
  thickness: ["thicker", "thinner"],
};

function driftClause(sources: readonly SourceId[], size: number | null, units: Job["units"]): string {
  const [source] = sources;
  if (source === undefined || size === null)
    return `the ${source?.kind ?? "source"}s drift from the first piece to the last`;
  const [up, down] = DRIFTS[source.kind] ?? ["up", "down"];
  const by = source.kind === "ramp" ? angleText(Math.abs(size)) : smallLength(Math.abs(size), units);
  const way = size < 0 ? down : up;
  const towards = source.kind === "ramp" ? `towards ${way}` : way;
  return `the ${sourceText(source)} drifts from the first piece to the last, ${by} ${towards}`;
}

const SCATTERING = {
  all: "the cuts scatter",
  angle: "the angles of the cuts scatter",
  length: "the lengths of the cuts scatter",
  thickness: "the thickness of the pieces scatters",
};

function scatterClause({ of, factor }: Extract<MisfitReason, { kind: "larger scatter" }>): string {
  const times = `${factor === 2 ? "about twice" : `some ${factor} times`} as much as the job says`;
  return typeof of === "string"
    ? `${SCATTERING[of]} ${times}`
    : `the readings of the ${of.instrument} scatter ${times}`;
}

/** What to do next. */
function nextOf(reason: MisfitReason, { instruments }: Shop): string {
  switch (reason.kind) {
    case "gauge bias":
      return knownThing(instruments.find(({ name }) => name === reason.instrument));
    case "mixed stock":
      return "Measure the thickness of every piece and sort the stock by it; calibrate from pieces of one batch.";
    case "drift":
      return "Look for what works loose, wears or fills with dust there; then cut and read one more piece and see whether it goes on.";
    case "swapped joint":
      return "Read both again, and correct the table if they were written down the wrong way round.";
    case "odd trial":
      return `Check its label, its set-up and how it lay on the jig; then cut and read that piece again, or take the rows of trial ${reason.trial} out.`;
    case "larger scatter":
      return typeof reason.of === "string"
        ? "Look for play in the stop, the fence or the blade; if that is how you cut, state a larger scatter in job.yaml."
        : "Read one and the same thing ten times with it (sukima gauge), and state what it repeats to in job.yaml.";
    default:
      return reason satisfies never;
  }
}

/** Something known to read with an instrument that may read too much or too little. */
function knownThing(instrument: Instrument | undefined): string {
  const [what] = instrument?.reads ?? [];
  if (what === "gap")
    return "Read a known gap with it, for example two squared blocks with a leaf between them.";
  if (what === "angle" || what === "ramp")
    return "Read a known angle with it, for example a try square that draws one line from either side.";
  return "Read a known length with it, for example a gauge block or the shank of a drill.";
}

/** A reason as plain data, for JSON: degrees for an angle, otherwise mm. */
function reasonJson({ reason, chance, logEvidence, size }: LikelyReason): object {
  const angular = isAngular(reason);
  return {
    ...reason,
    chance,
    logEvidence,
    unit: angular ? "deg" : "mm",
    size: size === null ? null : size / (angular ? DEGREE : 1),
  };
}

const isAngular = (reason: MisfitReason): boolean =>
  reason.kind === "gauge bias"
    ? reason.angular
    : reason.kind === "drift" && reason.sources.every(({ kind }) => kind === "ramp");

/** What is the matter, as plain data. */
export const misfitJson = (misfit: Misfit | null): object | null =>
  misfit && {
    named: misfit.named && reasonJson(misfit.named),
    runnerUp: misfit.runnerUp && reasonJson(misfit.runnerUp),
    explained: misfit.explained,
    widening: misfit.widening,
    reasons: misfit.reasons.map(reasonJson),
  };
