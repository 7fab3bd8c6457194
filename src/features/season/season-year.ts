import { UserError } from "../../core/errors.js";
import { at, rowOf } from "../../core/numeric/dense.js";
import { createStreams } from "../../core/numeric/random-stream.js";
import { CellDrawer, type CellDraws } from "../../inference/forecast/cell-drawer.js";
import { forecastSources } from "../../inference/forecast/forecast-sources.js";
import { effectiveCount } from "../../inference/forecast/shop-range.js";
import { chanceFrom, type Estimated } from "../../inference/forecast/tally-blocks.js";
import { type JobPosterior, jobPosterior } from "../../inference/job-posterior.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout, noErrors } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import { jobCell } from "../../model/job/job-cell.js";
import type { Climate, Season } from "../../model/job/season.js";
import { LINEAR_MOISTURE_RANGE } from "../../model/wood/dimensional-change.js";
import { moistureOf } from "../../model/wood/equilibrium-moisture.js";
import { createKernel, type SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import type { TrialInputs } from "../../physics/kernel/trial-record.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import { drawWood, EXPECTED_WOOD, strainsOf, type WoodDraw } from "./movement-draws.js";

/** Cells followed through the year, and the most that are: each keeps its draws. */
export const SEASON_CELLS = 4096;
export const MOST_SEASON_CELLS = 100_000;
const COVERAGE = 0.95;

/** What is expected, and the interval that holds 95 % of the cells, mm. */
export interface Ranged {
  readonly expected: number;
  readonly low: number;
  readonly high: number;
}

/** The screen in one state of the year. */
export interface SeasonState {
  readonly climate: Climate;
  /** Of the wood, per cent. */
  readonly moisture: number;
  /** Whether this moisture and the shop's lie within 6–14 %, where the linear rule is good. */
  readonly inRange: boolean;
  /** Change of thickness since the shop, mm: + thicker. Of the infill's pieces, and of the grid's strips. */
  readonly infill: Ranged;
  readonly grid: Ranged;
  /** Widest gap and deepest press of a cell that was cut without any error, mm ≥ 0: what the season alone does. */
  readonly gapAlone: Ranged;
  readonly pressAlone: Ranged;
  /** Widest gap of the cells to come, every source of error with its spread: median and 95 % interval, mm. */
  readonly gap: Ranged;
  /** Chance that a cell shows no gap over the limit. Press is not judged here: the cell is together by now. */
  readonly closed: Estimated;
}

/** A job's cells through the year: moisture in per cent, gaps in mm, > 0 open. */
export interface SeasonYear {
  readonly job: Job;
  /** What it speaks from. */
  readonly posterior: JobPosterior;
  readonly season: Season;
  /** The wood when it is cut, per cent. */
  readonly shopMoisture: number;
  /** The same cells in the shop, before anything has moved. */
  readonly inShop: Pick<SeasonState, "gap" | "closed">;
  readonly states: readonly SeasonState[];
  /** The state in which most cells show a gap over the limit. */
  readonly worst: SeasonState;
  /** The state in which the wood is thickest, and presses hardest. */
  readonly tightest: SeasonState;
  /** The worst state of the year had the wood been cut at the moisture of the driest state, per cent: where nothing shrinks, little opens. */
  readonly cutDriest: { readonly moisture: number; readonly closed: Estimated };
  /** Number of cells drawn for each state, and the seed of the draws. */
  readonly cells: number;
  readonly seed: number;
}

/** How many cells of a year are simulated, and from which seed. */
export interface SeasonOptions {
  /** What is known of the job's sources, as the jigs stand or after moves; default: what the job states, without readings. */
  readonly posterior?: JobPosterior;
  /** Number of cells drawn, whole, from 100 to {@link MOST_SEASON_CELLS}; default {@link SEASON_CELLS}. */
  readonly cells?: number;
  readonly seed?: number;
}

/**
 * Moisture, thickness and gaps of a job's cells through the year, as they were cut in the shop. The same cells are followed from state to state.
 * The wood is taken to have come to the air of each state: real wood lags behind it, the more the thicker it is.
 *
 * @throws UserError (code "season") when the job has no season, or the number of cells is out of range.
 * @throws UserError (code "seating") when a cell finds no equilibrium.
 * @example
 * const year = predictSeason(loadJob("data/alcove-screen"), { cells: 200 });
 * year.states.length > 3 // true
 */
export function predictSeason(job: Job, options: SeasonOptions = {}): SeasonYear {
  const { cells = SEASON_CELLS, seed = 1 } = options;
  const { season } = job;
  if (!season)
    throw new UserError(
      "season",
      "The job has no season: it must say where the screen is made and where it hangs; the file has no section season. Write season: { wood: …, shop: …, year: … }, as docs/job-files.md shows.",
      { key: ["season"] },
    );
  if (!(Number.isInteger(cells) && cells >= 100 && cells <= MOST_SEASON_CELLS))
    throw new UserError(
      "season",
      `The number of cells is out of range: it must be whole, from 100 to ${MOST_SEASON_CELLS}; it is ${cells}.`,
    );
  const posterior = options.posterior ?? jobPosterior(job, [], { seed });
  const follower = new Follower(job, season, posterior, cells, seed);
  const shopMoisture = moistureOf(season.shop);
  const moistures = season.year.map(moistureOf);
  const states = season.year.map((climate, at): SeasonState => {
    const moisture = moistures[at]!;
    return {
      climate,
      moisture,
      inRange: inRange(shopMoisture, moisture),
      ...follower.at(shopMoisture, moisture, at),
    };
  });
  const driest = Math.min(...moistures);
  const cutDriest = moistures.map((moisture, at) => follower.spread(driest, moisture, at).closed);
  return {
    job,
    posterior,
    season,
    shopMoisture,
    states,
    cells,
    seed,
    inShop: follower.spread(null, null, 0),
    worst: states.reduce((worst, state) => (isWorse(state, worst) ? state : worst)),
    tightest: states.reduce((a, b) => (b.moisture > a.moisture ? b : a)),
    cutDriest: { moisture: driest, closed: cutDriest.reduce((a, b) => (b.value < a.value ? b : a)) },
  };
}

const isWorse = (a: SeasonState, b: SeasonState): boolean =>
  a.closed.value < b.closed.value || (a.closed.value === b.closed.value && a.gap.expected > b.gap.expected);

function inRange(...moistures: number[]): boolean {
  const [lowest, highest] = LINEAR_MOISTURE_RANGE;
  return moistures.every((moisture) => moisture >= lowest && moisture <= highest);
}

/** Cells with their errors and their wood, drawn once and looked at in every state. */
class Follower {
  readonly #job: Job;
  readonly #season: Season;
  readonly #alone: SeatingKernel;
  readonly #all: SeatingKernel;
  readonly #errorDraws: Float64Array;
  readonly #errorCount: number;
  readonly #wood: readonly WoodDraw[];
  readonly #shops: CellDraws["shops"];

  constructor(job: Job, season: Season, posterior: JobPosterior, cells: number, seed: number) {
    this.#job = job;
    this.#season = season;
    const cell = jobCell(job);
    const model = cellModel(cell);
    const directions = seasonDirections(cell);
    const { order, pressRatio } = job;
    const { inputs, draws } = forecastSources(job, posterior);
    const none: TrialInputs = { mean: noErrors(cell), matrix: new Float64Array(0), draws: 0 };
    this.#alone = createKernel(model, { order, pressRatio, inputs: withSeason(none, directions) });
    this.#all = createKernel(model, { order, pressRatio, inputs: withSeason(inputs, directions) });
    this.#errorCount = inputs.draws;
    const [errors, wood] = createStreams(seed, 2);
    this.#errorDraws = new Float64Array(cells * inputs.draws);
    const drawer = new CellDrawer(draws);
    for (let cell = 0; cell < cells; cell++)
      drawer.draw(errors!, cell, rowOf(this.#errorDraws, cell, inputs.draws));
    this.#shops = draws.shops;
    this.#wood = Array.from({ length: cells }, () => drawWood(wood!, season.year.length));
  }

  /** Everything that is told of a state. */
  at(shop: number, moisture: number, state: number): Omit<SeasonState, "climate" | "moisture" | "inRange"> {
    const strains = this.#strains(shop, moisture, state);
    const expected = strainsOf(this.#season, EXPECTED_WOOD(state + 1), shop, moisture, state);
    const strip = this.#job.strip;
    const growth = (part: 0 | 1): Ranged =>
      ranged(
        strains.map((pair) => strip * pair[part]),
        strip * expected[part],
      );
    const alone = seat(this.#alone, strains, new Float64Array(0), 0);
    const nominal = seat(this.#alone, [expected], new Float64Array(0), 0);
    return {
      infill: growth(0),
      grid: growth(1),
      gapAlone: ranged([...alone.widestGap], at(nominal.widestGap, 0)),
      pressAlone: ranged([...alone.deepestPress], at(nominal.deepestPress, 0)),
      ...this.spread(shop, moisture, state),
    };
  }

  /** The cells to come in a state; as they leave the shop where the moistures are `null`. */
  spread(shop: number | null, moisture: number | null, state: number): SeasonYear["inShop"] {
    const strains =
      shop === null || moisture === null
        ? this.#wood.map((): [number, number] => [0, 0])
        : this.#strains(shop, moisture, state);
    const { widestGap } = seat(this.#all, strains, this.#errorDraws, this.#errorCount);
    const { gap } = this.#job.limits;
    const closed = widestGap.map((value) => (value <= gap ? 1 : 0));
    const share = closed.reduce((sum, one) => sum + one, 0) / closed.length;
    const worth = effectiveCount(closed, this.#shops);
    return { gap: ranged([...widestGap]), closed: chanceFrom(share * worth, worth) };
  }

  #strains(shop: number, moisture: number, state: number): [number, number][] {
    return this.#wood.map((draw) => strainsOf(this.#season, draw, shop, moisture, state));
  }
}

/** A kernel's inputs with two more draws: the strain of the infill and that of the grid. */
function withSeason({ mean, matrix, draws }: TrialInputs, { infill, grid }: SeasonDirections): TrialInputs {
  const width = draws + 2;
  const wide = new Float64Array(mean.length * width);
  for (let row = 0; row < mean.length; row++) {
    wide.set(matrix.subarray(row * draws, (row + 1) * draws), row * width);
    wide[row * width + draws] = at(infill, row);
    wide[row * width + draws + 1] = at(grid, row);
  }
  return { mean, matrix: wide, draws: width };
}

function seat(
  kernel: SeatingKernel,
  strains: readonly (readonly [number, number])[],
  errorDraws: Float64Array,
  width: number,
): { widestGap: Float64Array; deepestPress: Float64Array } {
  const cells = strains.length;
  const widestGap = new Float64Array(cells);
  const deepestPress = new Float64Array(cells);
  for (let start = 0; start < cells; start += kernel.batchTrials) {
    const batch = Math.min(kernel.batchTrials, cells - start);
    for (let trial = 0; trial < batch; trial++) {
      const own = kernel.drawsOf(trial);
      const at = start + trial;
      own.set(errorDraws.subarray(at * width, (at + 1) * width));
      own.set(strains[at]!, width);
    }
    kernel.seat(batch);
    for (let trial = 0; trial < batch; trial++) {
      widestGap[start + trial] = kernel.widestGap(trial);
      deepestPress[start + trial] = kernel.deepestPress(trial);
    }
  }
  return { widestGap, deepestPress };
}

/** The interval between the quantiles; what is expected, by default the median. */
function ranged(values: readonly number[], expected?: number): Ranged {
  const sorted = Float64Array.from(values).sort();
  const at = (p: number): number => sorted[Math.round(p * (sorted.length - 1))]!;
  return { expected: expected ?? at(0.5), low: at((1 - COVERAGE) / 2), high: at((1 + COVERAGE) / 2) };
}

/** How a cell's errors (layout of `errorLayout`) answer to the growth of its strips across, per unit of strain. */
export interface SeasonDirections {
  /** Growth of the infill's pieces after they were cut. */
  readonly infill: Float64Array;
  /** Growth of the grid's strips: walls that stand further into the opening. */
  readonly grid: Float64Array;
}

/**
 * What growing across and not along does to pieces that are already cut. A piece is stretched sideways about its middle line: its sides move by dt/2, and a bevel that crossed
 * the axis at jig angle J afterwards lies at tan J' = tan J/(1 + strain), to first order blunter by strain · sin J · cos J, still crossing it at the same place.
 * A wall moves into the opening by half of what its strip grows. No fence has a part in it.
 *
 * @param gridStrip thickness of the grid's strips, mm
 */
export function seasonDirections(cell: Cell, gridStrip = cell.strip): SeasonDirections {
  const layout = errorLayout(cell);
  const infill = noErrors(cell);
  const grid = noErrors(cell);
  for (const { name, cuts } of cell.pieces) {
    infill[layout.indexOf("thickness", name)] = cell.strip;
    for (const { face, jigAngle } of cuts)
      infill[layout.indexOf("angle", name, face)] = -Math.sin(jigAngle) * Math.cos(jigAngle);
  }
  for (const { name } of cell.walls) grid[layout.indexOf("offset", name)] = gridStrip / 2;
  return { infill, grid };
}
