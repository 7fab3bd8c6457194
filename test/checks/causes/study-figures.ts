import type { ShopStudied, StoryStudied } from "./run-study.js";

/** What a study found. */
export interface StudyFigures {
  readonly shops: number;
  /** Sources whose 95 % interval in the calibration excludes zero; of these, how many the explanation gives another sign, and how many lie truly on the other side of zero. */
  readonly identified: number;
  readonly contradictions: number;
  readonly wrongSigns: number;
  /** Share of 95 % intervals of sources that hold the truth, and how many there were. */
  readonly coverage: number;
  readonly intervals: number;
  /** Joints explained, and the largest difference between the sum of what the causes add and the gap expected, mm. */
  readonly joints: number;
  readonly largestRemainder: number;
  /** “Off by more than matters”, said with a chance. */
  readonly matters: readonly CalibrationBin[];
  /** Shops of which only a cell was read, and the chances of their stories. */
  readonly storyShops: number;
  readonly stories: readonly CalibrationBin[];
  /** Share of these shops in which the likeliest story is the true one, and its mean chance. */
  readonly firstRight: number;
  readonly firstChance: number;
}

export function studyFigures(shops: readonly ShopStudied[], told: readonly StoryStudied[]): StudyFigures {
  const sources = shops.flatMap((shop) => shop.sources);
  const identified = sources.filter(({ calibrated }) => calibrated !== 0);
  const joints = shops.flatMap(({ remainders }) => remainders);
  const mean = (values: readonly number[]): number =>
    values.reduce((a, b) => a + b, 0) / (values.length || 1);
  return {
    shops: shops.length,
    identified: identified.length,
    contradictions: identified.filter(({ calibrated, explained }) => explained !== calibrated).length,
    wrongSigns: identified.filter(({ calibrated, truth }) => Math.sign(truth) !== calibrated).length,
    coverage: mean(sources.map(({ inside }) => (inside ? 1 : 0))),
    intervals: sources.length,
    joints: joints.length,
    largestRemainder: Math.max(0, ...joints),
    matters: calibrationBins(sources.map(({ chance, beyond }) => ({ probability: chance, true: beyond }))),
    storyShops: told.length,
    stories: calibrationBins(told.flatMap(({ stories }) => stories)),
    firstRight: mean(told.map(({ stories: [first] }) => (first?.true ? 1 : 0))),
    firstChance: mean(told.map(({ stories: [first] }) => first?.probability ?? 0)),
  };
}

/** Something said with a probability, and whether it was so. */
export interface Statement {
  readonly probability: number;
  readonly true: boolean;
}

/** Statements of nearly the same probability. */
export interface CalibrationBin {
  readonly from: number;
  readonly to: number;
  readonly statements: number;
  /** Mean of the probabilities stated. */
  readonly stated: number;
  /** Share that was true. */
  readonly true: number;
  /** Share that would be true in 99 % of studies if each were as likely as stated. */
  readonly bounds: readonly [number, number];
  readonly within: boolean;
}

export const BIN_EDGES = [0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1] as const;
const TAIL = 0.005;

/** Whether things said at 70–80 % were true 70–80 % of the time, for every such bin that has statements. */
export function calibrationBins(statements: readonly Statement[]): CalibrationBin[] {
  return BIN_EDGES.slice(1).flatMap((to, i): CalibrationBin[] => {
    const from = BIN_EDGES[i]!;
    const own = statements.filter(({ probability: p }) => p >= from && (p < to || (to === 1 && p <= 1)));
    if (own.length === 0) return [];
    const n = own.length;
    const yes = own.filter((statement) => statement.true).length;
    const probabilities = own.map(({ probability }) => probability);
    const [low, high] = centralCounts(probabilities, TAIL);
    return [
      {
        from,
        to,
        statements: n,
        true: yes / n,
        bounds: [low / n, high / n],
        stated: probabilities.reduce((a, b) => a + b, 0) / n,
        within: yes >= low && yes <= high,
      },
    ];
  });
}

/** Probabilities that 0, 1, … n of independent events with the given probabilities happen. */
export function poissonBinomial(probabilities: readonly number[]): Float64Array {
  const out = new Float64Array(probabilities.length + 1);
  out[0] = 1;
  for (const [n, p] of probabilities.entries()) {
    for (let k = n + 1; k > 0; k--) out[k] = out[k]! * (1 - p) + out[k - 1]! * p;
    out[0]! *= 1 - p;
  }
  return out;
}

/** The smallest and largest number of events of which less than `tail` lies beyond on either side. */
export function centralCounts(probabilities: readonly number[], tail: number): [number, number] {
  const mass = poissonBinomial(probabilities);
  let low = 0;
  for (let sum = mass[0]!; sum < tail; sum += mass[low]!) low++;
  let high = mass.length - 1;
  for (let sum = mass[high]!; sum < tail; sum += mass[high]!) high--;
  return [low, high];
}

const percent = (share: number): string => `${(100 * share).toFixed(1)} %`;

const binRows = (bins: readonly CalibrationBin[]): string[] => [
  "| said, on average | true | 99 % bounds | statements |",
  "| --- | --- | --- | --- |",
  ...bins.map(
    ({ stated, true: share, bounds: [low, high], statements, within }) =>
      `| ${percent(stated)} | ${percent(share)}${within ? "" : ", outside"} | ${percent(low)} to ${percent(high)} | ${statements} |`,
  ),
];

/** The figures of a study as the page docs/explain.md shows them. */
export function studyText(figures: StudyFigures): string {
  const { shops, identified, contradictions, wrongSigns, coverage, intervals, joints, largestRemainder } =
    figures;
  const { matters, stories, storyShops, firstRight, firstChance } = figures;
  return [
    `${shops} shops with several errors and mixed readings. The 95 % interval of ${identified} sources excludes zero; the explanation gives ${contradictions} of them another sign than the calibration, and ${wrongSigns} truly have the other sign. Of ${intervals} intervals ${percent(coverage)} hold the truth. In ${joints} open or pressed joints what the causes add differs from the gap expected by at most ${largestRemainder.toExponential(0)} mm.`,
    "",
    "“Off by more than matters”:",
    "",
    ...binRows(matters),
    "",
    `${storyShops} shops of which only a cell was read. The likeliest story is the true one in ${percent(firstRight)}; it was given ${percent(firstChance)} on average.`,
    "",
    ...binRows(stories),
  ].join("\n");
}
