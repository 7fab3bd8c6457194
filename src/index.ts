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
export { type CarriedError, jobSources, type Specimen } from "./inference/likelihood/specimen.js";
export { JobError, type JobFault } from "./io/faults.js";
export {
  type AngleData,
  type InstrumentData,
  type JigData,
  type JobData,
  type LengthData,
  loadJob,
  makeJob,
  type SetUpData,
} from "./io/job/load-job.js";
export { type ArrangedPattern, arrangePattern } from "./io/patterns/arrange-pattern.js";
export { patternFaults } from "./io/patterns/check-pattern.js";
export { findPattern, shippedPattern, shippedPatterns } from "./io/patterns/find-pattern.js";
export type { Expression } from "./io/patterns/parse-expression.js";
export type {
  Pattern,
  PatternFault,
  PatternSize,
  PatternSizes,
  SIZE_KINDS,
  SizeKind,
} from "./io/patterns/pattern.js";
export type { JigRecord, LeanRecord, RampRecord, StopRecord } from "./io/records/jig-record.js";
export { loadRecord } from "./io/records/load-record.js";
export { loadTruth, type Truth } from "./io/records/load-truth.js";
export type { RecordedTogether } from "./io/records/read-together.js";
export { loadTrialPlan, loadTrials, makeReadings, type ReadingData } from "./io/trials/load-trials.js";
export { trialsCsv } from "./io/trials/trials-csv.js";
export type { KeyPath } from "./io/yaml/yaml-source.js";
export {
  type BenchCost,
  COSTS,
  type Costs,
  type Jig,
  JOB_DEFAULTS,
  type Job,
  LENGTHS,
  type SetUp,
  type Stock,
  type Stop,
  TOLERANCE_GOAL,
  type ToleranceCosts,
  type ToleranceGoal,
  TRIAL_COSTS,
  type TrialCosts,
} from "./model/job/job.js";
export { jobArrangement, jobAsCut, jobCell } from "./model/job/job-cell.js";
export type {
  Instrument,
  PLACES,
  Place,
  QUANTITIES,
  Reading,
  ReadingBench,
  ReadQuantity,
} from "./model/readings.js";
export type { PriorCase, RecordedPrior } from "./model/recorded-prior.js";
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
export { fitSentence } from "./render/misfit-text.js";
export { directionText, sourceText } from "./render/source-text.js";

// Calibration

export { unidentifiedText } from "./features/calibrate/calibration-report.js";
export { type CardSheet, cardSheet, type SheetJig } from "./features/calibrate/card/card-sheet.js";
export {
  type CardRow,
  type CardStep,
  type SetUpCard,
  setUpCard,
} from "./features/calibrate/card/set-up-card.js";
export { sheetHtml } from "./features/calibrate/card/sheet-html.js";
export type { SheetLine } from "./features/calibrate/card/sheet-lines.js";
export {
  type CalibrateOptions,
  type Calibration,
  calibrateJob,
} from "./inference/calibrate-job.js";
export type { CalibrationForecast } from "./inference/calibration-forecast.js";
export type { Adjuster, Setting } from "./inference/decision/adjusters.js";
export type {
  Advice,
  Decision,
  HoldReason,
  MoveVerdict,
  OtherLimits,
} from "./inference/decision/decide-moves.js";
export type { Moves } from "./inference/decision/drawn-cells.js";
export type { FewerMoves, SetOutcome } from "./inference/decision/fewer-moves.js";
export type { LoneError } from "./inference/decision/lone-error.js";
export {
  type FitSourcesOptions,
  fitSources,
  type SourceEstimate,
  type SourceFit,
} from "./inference/estimates/fit-sources.js";
export type { ReadingResidual } from "./inference/estimates/judge-fit.js";
export { type PairRegion, pairRegions } from "./inference/estimates/pair-regions.js";
export type { BetweenCutSdEstimate, BetweenCutSdEvidence } from "./inference/estimates/scatters.js";
export { type SimulateOptions, simulateTrials } from "./inference/estimates/simulate-trials.js";
export type { MisfitKind, MisfitReason, ScatterSubject } from "./inference/misfit/departure.js";
export type { FitVerdict, LikelyReason, Misfit } from "./inference/misfit/judge-readings.js";
export type { PosteriorMode } from "./inference/posterior/posterior-mode.js";

// What to cut and read next

export { safetyText } from "./features/plan/reading-text.js";
export type { Criterion } from "./inference/design/criterion.js";
export {
  type SeparatingReading,
  type SignReading,
  separatingReadings,
} from "./inference/design/informative-readings.js";
export type { NamedReading } from "./inference/design/next-readings.js";
export {
  type Design,
  type DesignOptions,
  type DesignProblem,
  optimalDesign,
} from "./inference/design/optimal-design.js";
export type { Leeway, Safety } from "./inference/design/plan-safety.js";
export {
  type PlanAim,
  type PlannedTrial,
  type PlanOptions,
  planTrials,
  type TrialPlan,
} from "./inference/design/plan-trials.js";
export type { Sample, Station } from "./inference/design/station.js";
export type { TrialOption } from "./inference/design/trial-options.js";
export type { ReadingValue } from "./inference/design/value-of-reading.js";
export type { Side, TwoSides, Unseparated } from "./inference/estimates/identifiability.js";

// The cells to come, the panel and the year

export type { ComparedOrders, ComparedWay, PanelBudget, PanelBudgetLine } from "./features/panel/compare.js";
export type { WallSpread } from "./features/panel/draw-panel.js";
export {
  type GridAxis,
  type GridShape,
  lengthDeviation,
  PANEL_WAYS,
  type PanelShape,
  type PanelWay,
  type Places,
  pitchCovariance,
  placeCovariance,
  type ThreeWayShape,
  type UprightShape,
} from "./features/panel/grid-shape.js";
export type {
  OuterSize,
  OverPanels,
  PanelPlace,
  PanelPrediction,
  PanelSize,
} from "./features/panel/panel-prediction.js";
export { panelText } from "./features/panel/panel-text.js";
export { type PanelOptions, type PanelProgress, predictPanel } from "./features/panel/predict-panel.js";
export { seasonLimits, seasonSentences } from "./features/season/season-report.js";
export {
  predictSeason,
  type Ranged,
  type SeasonOptions,
  type SeasonState,
  type SeasonYear,
} from "./features/season/season-year.js";
export type { CellDraws } from "./inference/forecast/cell-drawer.js";
export type { OrderDifference, TrimForecast, WorstAtOnce } from "./inference/forecast/cross-checks.js";
export type { OrderShift, OrderShifts } from "./inference/forecast/exact-correction.js";
export {
  type CellForecast,
  type Forecast,
  type ForecastOptions,
  type ForecastProgress,
  forecastCells,
  type OpeningForecast,
} from "./inference/forecast/forecast-cells.js";
export type { ForecastSources, SourceGroup } from "./inference/forecast/forecast-sources.js";
export type { GroupBudget, GroupLine } from "./inference/forecast/group-budget.js";
export type { LinearAnswer, LinearVerdict } from "./inference/forecast/linear-answer.js";
export type { ShopRange } from "./inference/forecast/shop-range.js";
export type { Estimated, GapCounts } from "./inference/forecast/tally-blocks.js";
export {
  afterCard,
  type Basis,
  type JigState,
  type JobPosterior,
  type JobPosteriorOptions,
  jobPosterior,
  type StepProgress,
} from "./inference/job-posterior.js";
export {
  CELL_TURNS,
  GRID_STOCKS,
  LAP_WAYS,
  PANEL_DEFAULTS,
  type Panel,
  type PanelBorder,
  type PanelFrame,
  type PanelLaps,
} from "./model/job/panel.js";
export { type Climate, SEASON_DEFAULTS, type Season, type StripWood } from "./model/job/season.js";
export { equilibriumMoistureContent, type TemperatureScale } from "./model/wood/equilibrium-moisture.js";
export { type Mark, type Movement, SPECIES, type Species, speciesNamed } from "./model/wood/species.js";
export { ownWood, type StripMovement, stripMovement, type Wood, woodOf } from "./model/wood/wood.js";

// Why it gaps

export type { Check, Foreseen, WeighedCheck } from "./features/explain/candidate-checks.js";
export type { CellRead } from "./features/explain/cells-read.js";
export type { Closing, ClosingOutcome, Remedy } from "./features/explain/closing.js";
export { type CauseId, causeText, type PieceId, type WallsId } from "./features/explain/error-shares.js";
export {
  type CellExplained,
  type ExplainOptions,
  type Explanation,
  explainCells,
  type JointExplained,
} from "./features/explain/explain-cells.js";
export type { Contribution, GapRange, JointCauses } from "./features/explain/joint-causes.js";
export { type NextCheck, nextCheck, rankedChecks, type StoriesTold } from "./features/explain/next-check.js";
export {
  type CellLookedAt,
  cellPlan,
  EYE,
  SEEN,
  type Seen,
  type Sight,
  seenByEye,
  withEye,
} from "./features/explain/seen-by-eye.js";
export type { Chance, SourceCause } from "./features/explain/source-causes.js";
export { STORY_PRIOR, type Story, type StoryCause } from "./features/explain/stories.js";
export type { JobCells } from "./inference/likelihood/read-specimen.js";
export type {
  FENCES,
  Fence,
  InstrumentBias,
  KnownMove,
  Lean,
  Reference,
  Round,
  ShimSet,
  Shop,
} from "./model/shop.js";

// How good it must be, what to cut, and the pieces of a batch

export { type BatchTable, loadBatchTable } from "./features/batch/batch-table.js";
export {
  type EwmaChart,
  ewmaRunLength,
  type IndividualsChart,
  individualsRunLength,
} from "./features/batch/control-charts.js";
export { type GoNoGo, type GoNoGoOptions, goNoGoSizes, type PieceSizes } from "./features/batch/go-no-go.js";
export {
  type BatchVerdict,
  type BatchWatch,
  type RunLengths,
  type WatchOptions,
  watchBatch,
} from "./features/batch/watch-batch.js";
export {
  type CutLine,
  type CutList,
  type CutListOptions,
  type LapLayer,
  type LapLine,
  planCuts,
  type SetUpLine,
} from "./features/cutlist/cut-list.js";
export { cutListHtml } from "./features/cutlist/cut-list-html.js";
export { cutListCsv } from "./features/cutlist/cut-list-report.js";
export {
  type Demand,
  type PackedStock,
  packStock,
  type StickPlan,
  type StockOptions,
} from "./features/cutlist/pack-stock.js";
export type { Recut } from "./features/cutlist/recut.js";
export { chanceEnough, type Needed, sparesFor } from "./features/cutlist/spares.js";
export type {
  GaugeReading,
  RangesStudy,
  VarianceAnalysis,
  VarianceLine,
} from "./features/gauge/analysis-of-variance.js";
export {
  type GaugeComponents,
  type GaugeStudy,
  type GaugeStudyOptions,
  type Spread,
  studyGauge,
} from "./features/gauge/gauge-study.js";
export { type GaugeTable, loadGaugeTable } from "./features/gauge/gauge-table.js";
export {
  type ChanceAt,
  type CheapestTolerances,
  cheapestTolerances,
  type ToleranceProblem,
} from "./features/tolerances/cheapest-tolerances.js";
export {
  type CurvePoint,
  type JobTolerances,
  type JobTolerancesOptions,
  planTolerances,
  TOLERANCE_CELLS,
  type ToleranceGroup,
  type ToleranceLine,
} from "./features/tolerances/job-tolerances.js";
export type { MeasureKind } from "./io/measure-columns.js";

// For practice

export { type Fault, hiddenFaults, type Mystery, makeMystery } from "./features/mystery/make-mystery.js";
export { type Marked, type MarkedSource, type Marking, markAnswer } from "./features/mystery/mark-answer.js";
export type { MysteryKey, MysteryLevel } from "./features/mystery/mystery-job.js";
