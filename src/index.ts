/**
 * `sukima`: a job read from its files, its trial cuts judged, the cells to come forecast, and what follows for the shop.
 *
 * Lengths are mm and angles radians; a gap above 0 is open. Whatever tells someone to cut or to adjust shows `CAUTIONS`.
 * Cells, quantities and predictions without a job are in `sukima/core`, the uncertainty of any formula in
 * `sukima/uncertainty`, charts and tables in `sukima/notebook`.
 */

// A job, its files and its readings

export { type ErrorCode, isUserError, UserError } from "./core/errors.js";
export { newJob } from "./features/new/new-job.js";
export { recordYaml } from "./features/record/record-yaml.js";
export { jobCell, jobSources } from "./inference/likelihood/specimen.js";
export { JobError, type JobFault } from "./io/faults.js";
export { loadJob } from "./io/job/load-job.js";
export { type ArrangedPattern, arrangePattern } from "./io/patterns/arrange-pattern.js";
export { patternFaults } from "./io/patterns/check-pattern.js";
export { findPattern, shippedPattern, shippedPatterns } from "./io/patterns/find-pattern.js";
export type { Pattern, PatternFault, PatternSizes } from "./io/patterns/pattern.js";
export { loadRecord } from "./io/records/load-record.js";
export { loadTruth, type Truth } from "./io/records/load-truth.js";
export { loadTrialPlan, loadTrials } from "./io/trials/load-trials.js";
export { trialsCsv } from "./io/trials/trials-csv.js";
export {
  COSTS,
  type Costs,
  type Jig,
  JOB_DEFAULTS,
  type Job,
  type SetUp,
  type Stop,
  TOLERANCE_GOAL,
  type ToleranceGoal,
  TRIAL_COSTS,
  type TrialCosts,
} from "./model/job/job.js";
export { jobArrangement, jobAsCut } from "./model/job/job-cell.js";
export type { Instrument, Reading } from "./model/readings.js";
export {
  BATCH_THICKNESS,
  type ErrorId,
  type GridId,
  isAngular,
  type OffCentreId,
  type ScatterId,
  type SourceId,
  type SourceKind,
  sameSource,
  sourceKey,
} from "./model/source-id.js";
export { type Source, shopSources, sourceMatrix } from "./model/sources.js";
export { CAUTIONS } from "./render/cautions.js";
export { directionText, sourceText } from "./render/source-text.js";

// Calibration

export { unidentifiedText } from "./features/calibrate/calibration-report.js";
export { type CardSheet, cardSheet } from "./features/calibrate/card/card-sheet.js";
export { type SetUpCard, setUpCard } from "./features/calibrate/card/set-up-card.js";
export { sheetHtml } from "./features/calibrate/card/sheet-html.js";
export {
  type CalibrateOptions,
  type Calibration,
  type CalibrationForecast,
  calibrateJob,
} from "./inference/calibrate-job.js";
export type { Advice, Decision, MoveVerdict } from "./inference/decision/decide-moves.js";
export { fitSources, type SourceEstimate, type SourceFit } from "./inference/estimates/fit-sources.js";
export { type PairRegion, pairRegions, profileIntervals } from "./inference/estimates/intervals.js";
export { simulateTrials } from "./inference/estimates/simulate-trials.js";

// What to cut and read next

export { safetyText } from "./features/plan/reading-text.js";
export { type SeparatingReading, separatingReadings } from "./inference/design/informative-readings.js";
export { type Design, type DesignProblem, optimalDesign } from "./inference/design/optimal-design.js";
export {
  type PlanAim,
  type PlanOptions,
  planTrials,
  type TrialPlan,
} from "./inference/design/plan-trials.js";

// The cells to come, the panel and the year

export {
  lengthDeviation,
  type PanelWay,
  pitchCovariance,
  placeCovariance,
} from "./features/panel/grid-shape.js";
export type { PanelPrediction } from "./features/panel/panel-prediction.js";
export { panelText } from "./features/panel/panel-text.js";
export { type PanelOptions, predictPanel } from "./features/panel/predict-panel.js";
export { seasonLimits, seasonSentences } from "./features/season/season-report.js";
export { predictSeason, type SeasonState, type SeasonYear } from "./features/season/season-year.js";
export { type Forecast, type ForecastOptions, forecastCells } from "./inference/forecast/forecast-cells.js";
export { PANEL_DEFAULTS, type Panel } from "./model/job/panel.js";
export { SEASON_DEFAULTS, type Season } from "./model/job/season.js";
export { equilibriumMoistureContent } from "./model/wood/equilibrium-moisture.js";
export { SPECIES, speciesNamed } from "./model/wood/species.js";
export { ownWood, stripMovement, type Wood, woodOf } from "./model/wood/wood.js";

// Why it gaps

export { bestCheck, rankedChecks, type Unseen, wouldSee } from "./features/explain/best-check.js";
export type { Check, WeighedCheck } from "./features/explain/candidate-checks.js";
export { type Cause, singleCauses } from "./features/explain/causes.js";
export {
  type ExplainOptions,
  type Explanation,
  explainCells,
  type Verdict as HypothesisVerdict,
} from "./features/explain/explain-cells.js";
export { cellPlan, EYE, type Sight, seenByEye, withEye } from "./features/explain/seen-by-eye.js";

// How good it must be, what to cut, and the pieces of a batch

export { type BatchTable, loadBatchTable } from "./features/batch/batch-table.js";
export { ewmaRunLength, individualsRunLength } from "./features/batch/control-charts.js";
export { type GoNoGo, type GoNoGoOptions, goNoGoSizes, type PieceSizes } from "./features/batch/go-no-go.js";
export { type BatchWatch, type WatchOptions, watchBatch } from "./features/batch/watch-batch.js";
export { type CutList, type CutListOptions, planCuts } from "./features/cutlist/cut-list.js";
export { cutListHtml } from "./features/cutlist/cut-list-html.js";
export { cutListCsv } from "./features/cutlist/cut-list-report.js";
export { type PackedStock, packStock } from "./features/cutlist/pack-stock.js";
export { chanceEnough, sparesFor } from "./features/cutlist/spares.js";
export type { GaugeReading } from "./features/gauge/analysis-of-variance.js";
export { type GaugeStudy, studyGauge } from "./features/gauge/gauge-study.js";
export { type GaugeTable, loadGaugeTable } from "./features/gauge/gauge-table.js";
export {
  type CheapestTolerances,
  cheapestTolerances,
  type ToleranceProblem,
} from "./features/tolerances/cheapest-tolerances.js";
export {
  type JobTolerances,
  type JobTolerancesOptions,
  planTolerances,
} from "./features/tolerances/job-tolerances.js";

// For practice

export { hiddenFaults, makeMystery } from "./features/mystery/make-mystery.js";
export { type Marking, markAnswer } from "./features/mystery/mark-answer.js";
