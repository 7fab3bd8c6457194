import { wrapped } from "./text.js";

/** Shown wherever the project tells someone to cut or adjust. Common practice, no source. */
export const CAUTIONS: readonly string[] = [
  "Unplug a machine, and let it stop, before you touch a stop, a shim or a fence.",
  "Keep every guard in place. Hold small pieces in a jig or a clamp, never with your fingers alone.",
  "A sharp blade cuts skin as easily as wood: keep your hands behind the edge, and cover the blade when you put it down.",
  "The manual of your tool, your local rules and a qualified instructor come before anything printed here.",
];

/** The cautions as every command prints them, under a heading of their own. */
export const cautionLines = (): string[] => [
  "TAKE CARE",
  ...CAUTIONS.map((caution) => wrapped(caution, 96, "  ")),
];

/** What a command says. */
export interface AnswerParts {
  /** What a maker wants to know, in at most fifteen lines. */
  readonly answer: readonly string[];
  /** Everything else, printed when asked for. */
  readonly details: readonly string[];
  /** Whether they are asked for. */
  readonly wanted: boolean;
}

/** An answer with its cautions, and after it the details or how to get them. */
export const answerText = ({ answer, details, wanted }: AnswerParts): string =>
  [
    ...answer,
    "",
    ...cautionLines(),
    "",
    ...(wanted ? details : ["--details adds the tables and what they rest on."]),
    "",
  ].join("\n");
