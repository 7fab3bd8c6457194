// Quantities

// Numbers
export {
  type LeastSquaresFit,
  type LeastSquaresProblem,
  leastSquares,
} from "./core/numeric/least-squares.js";
export { createStream, type RandomStream } from "./core/numeric/random-stream.js";
export * from "./core/quantity/index.js";
export { type BatchTable, loadBatchTable } from "./features/batch/batch-table.js";
// Batches
export { type GoNoGo, type GoNoGoOptions, goNoGoSizes, type PieceSizes } from "./features/batch/go-no-go.js";
export { ewmaRunLength, individualsRunLength } from "./features/batch/run-length.js";
export { type BatchWatch, type WatchOptions, watchBatch } from "./features/batch/watch-batch.js";
export {
  cellPicture,
  estimatesPicture,
  forecastPicture,
  readingsPicture,
  residualsPicture,
} from "./features/calibrate/calibration-charts.js";
export { type CardSheet, cardSheet } from "./features/calibrate/card/card-sheet.js";
export { cardDisplay } from "./features/calibrate/card/card-text.js";
export { type SetUpCard, setUpCard } from "./features/calibrate/card/set-up-card.js";
export { sheetHtml } from "./features/calibrate/card/sheet-html.js";
export { notToldText } from "./features/calibrate/not-told.js";
export {
  adviceTable,
  ERROR_SIZES,
  gapsTable,
  pairsTable,
  piecesTable,
  profilesTable,
  readingsTable,
  sensitivitiesTable,
  sourcesTable,
  stopsTable,
} from "./features/calibrate/tables.js";
// What to cut
export { type CutList, type CutListOptions, cutList } from "./features/cutlist/cut-list.js";
export { cutListHtml } from "./features/cutlist/cut-list-html.js";
export { cutListCsv } from "./features/cutlist/cut-list-tables.js";
export { type PackedStock, packStock } from "./features/cutlist/pack-stock.js";
export { chanceEnough, sparesFor } from "./features/cutlist/spares.js";
export { namedPicture, PictureError, pictureNames } from "./features/draw/pictures.js";
export {
  batchPicture,
  gaugePicture,
  gaugeTable,
  planPicture,
  planTable,
  uncertaintiesTable,
} from "./features/draw/workshop-pictures.js";
// Why it gaps
export { bestCheck, rankedChecks } from "./features/explain/best-check.js";
export type { Check, WeighedCheck } from "./features/explain/candidate-checks.js";
export { PATTERN_SIZES, type PatternPage, patternBook } from "./features/explain/cause-book.js";
export {
  type ExplainOptions,
  type Explanation,
  explainCells,
  type Verdict as HypothesisVerdict,
} from "./features/explain/explain-cells.js";
export { verdictDrawing, verdictDrawings } from "./features/explain/explanation-charts.js";
export { checkSentences, explanationTable, unseenTable } from "./features/explain/explanation-tables.js";
export type { Cause } from "./features/explain/hypothesis.js";
export { ExplainError } from "./features/explain/hypothesis.js";
export { type Unseen, wouldSee } from "./features/explain/resolve-sign.js";
export { cellPlan, EYE, type Sight, seenByEye, withEye } from "./features/explain/seen-by-eye.js";
export { singleCauses } from "./features/explain/single-causes.js";
// Gauges
export { type GaugeReading, GaugeStudyError } from "./features/gauge/analysis-of-variance.js";
export { type GaugeStudy, gaugeStudy } from "./features/gauge/gauge-study.js";
export { type GaugeTable, loadGaugeTable } from "./features/gauge/gauge-table.js";
// Mysteries
export { hiddenFaults, makeMystery } from "./features/mystery/make-mystery.js";
export { type Marking, markAnswer } from "./features/mystery/mark-answer.js";
export { newJob } from "./features/new/new-job.js";
export type { PanelWay } from "./features/panel/grid-shape.js";
export {
  lengthDeviation,
  PanelError,
  pitchCovariance,
  placeCovariance,
} from "./features/panel/grid-shape.js";
export { failsMap, gapsMap, panelCharts } from "./features/panel/panel-charts.js";
export type { PanelPrediction } from "./features/panel/panel-prediction.js";
export { panelBudgetTable, panelsTable, panelWaysTable } from "./features/panel/panel-tables.js";
export { panelText } from "./features/panel/panel-text.js";
export { type PanelOptions, predictPanel } from "./features/panel/predict-panel.js";
export { safetyText } from "./features/plan/reading-text.js";
export { livePage } from "./features/play/live-page.js";
export { recordYaml } from "./features/record/record-yaml.js";
export { seasonPicture } from "./features/season/season-charts.js";
export { seasonLimits, seasonSentences, seasonTable } from "./features/season/season-text.js";
export { type SeasonState, type SeasonYear, seasonYear } from "./features/season/season-year.js";
export {
  type CheapestTolerances,
  cheapestTolerances,
  type ToleranceProblem,
} from "./features/tolerances/cheapest-tolerances.js";
export {
  type JobTolerances,
  type JobTolerancesOptions,
  jobTolerances,
} from "./features/tolerances/job-tolerances.js";
export { tolerancePicture } from "./features/tolerances/tolerance-json.js";
export { toleranceTable } from "./features/tolerances/tolerance-text.js";
// Calibration
export {
  type CalibrateOptions,
  type Calibration,
  type CellForecast,
  calibrateJob,
} from "./inference/calibrate-job.js";
export type { Advice, Decision, Verdict } from "./inference/decision/decide-moves.js";
// Plans
export { type Design, type DesignProblem, optimalDesign } from "./inference/design/optimal-design.js";
export {
  type PlanAim,
  type PlanOptions,
  planTrials,
  type TrialPlan,
} from "./inference/design/plan-trials.js";
export { type SeparatingReading, separatingReadings } from "./inference/design/telling-readings.js";
export { fitSources, type SourceEstimate, type SourceFit } from "./inference/estimates/fit-sources.js";
export { type PairRegion, pairRegions, profileIntervals } from "./inference/estimates/intervals.js";
export { simulateTrials } from "./inference/estimates/simulate-trials.js";
// The cells to come
export {
  type Forecast,
  type ForecastOptions,
  forecastCells as jobForecast,
} from "./inference/forecast/forecast-cells.js";
export { cellOf, sourcesOf } from "./inference/likelihood/specimen.js";
export { JobError, type JobFault } from "./io/faults.js";
export { loadJob } from "./io/job/load-job.js";
// Patterns
export { type ArrangedPattern, arrangePattern } from "./io/patterns/arrange-pattern.js";
export { patternFaults } from "./io/patterns/check-pattern.js";
export { findPattern, shippedPattern, shippedPatterns } from "./io/patterns/find-pattern.js";
export type { Pattern, PatternFault, PatternSizes } from "./io/patterns/pattern.js";
export { loadRecord } from "./io/records/load-record.js";
export { loadTruth, type Truth } from "./io/records/load-truth.js";
export { loadTrialPlan, loadTrials } from "./io/trials/load-trials.js";
export { trialsCsv } from "./io/trials/trials-csv.js";
export type { Arrangement, Cut, CutFace, Piece, Wall } from "./model/cell/arrangement.js";
// The cell
export {
  ASANOHA_ANGLES,
  type AsanohaSquareOptions,
  asanohaSquare,
  CLOSING_SEAT_SHARE,
} from "./model/cell/asanoha-square.js";
export { BENCH_NAMES, type BenchName, benchNamed, benchNames } from "./model/cell/benches.js";
export type { Cell, Face, Joint, Order } from "./model/cell/cell.js";
export { cellProbes, LatticeError, PANEL_SIDES, type PanelSide, type Probe } from "./model/cell/cell.js";
export {
  type AsCut,
  asCutErrors,
  type ElementaryError,
  type ErrorLayout,
  errorLayout,
  noErrors,
} from "./model/cell/cell-errors.js";
export { compileCell } from "./model/cell/compile-cell.js";
// Jobs and readings
// How good it must be
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
export { jobArrangement, jobAsCut, jobCell } from "./model/job/job-cell.js";
// Panels
export { PANEL_DEFAULTS, type Panel } from "./model/job/panel.js";
// Wood and the year
export { SEASON_DEFAULTS, type Season } from "./model/job/season.js";
export type { Instrument, Reading } from "./model/readings.js";
export { type Source, shopSources, sourceMatrix } from "./model/sources.js";
export { equilibriumMoistureContent } from "./model/wood/equilibrium-moisture.js";
export { SPECIES, speciesNamed } from "./model/wood/species.js";
export { ownWood, stripMovement, type Wood, woodOf } from "./model/wood/wood.js";
export {
  type FitOptions,
  type FittedGroup,
  type FittedLengths,
  type FittedPrediction,
  fitLengths,
  predictFitted,
} from "./physics/fitting/fit-lengths.js";
export {
  type CellSeater,
  createSeater,
  FittedKernel,
  type Fitting,
  type SeatedBlock,
  type SeaterOptions,
  seatBlock,
} from "./physics/kernel/fitted-kernel.js";
// Many cells
export { createKernel, type KernelOptions, type SeatingKernel } from "./physics/kernel/seating-kernel.js";
export type { EquilibriumOptions } from "./physics/predict/equilibrium.js";
export {
  type CellPrediction,
  PredictError,
  type ProbeGap,
  predictCell,
} from "./physics/predict/predict-cell.js";
export { SeatingError } from "./physics/seating/seating-model.js";
export { type ErrorDirection, errorDirections } from "./physics/sensitivity/error-directions.js";
export {
  type Sensitivity,
  sensitivityTable,
  slopesByModel,
  slopesBySteps,
  type WorstAt,
  worstAlong,
} from "./physics/sensitivity/sensitivity.js";
export {
  CUT_MOVE,
  faceMoveSlopes,
  STRAIGHT_MOVE,
  slopesBySymbols,
} from "./physics/sensitivity/symbolic-slopes.js";
export { CAUTIONS } from "./render/cautions.js";
// Charts, card and notebooks
export { cellDrawing } from "./render/cell/cell-drawing.js";
export { type BudgetRow, budgetBars } from "./render/charts/budget-bars.js";
export { type ChartSpec, chartLabels } from "./render/charts/chart-spec.js";
export { type Curve, curvesChart } from "./render/charts/curves-chart.js";
export { type Chart, chart, picture, specToSvg, svgToPng } from "./render/charts/draw-chart.js";
export { type Html, type Live, show } from "./render/notebook/display.js";
export { NotebookError } from "./render/notebook/notebook.js";
export { JOB_VARIABLE, runAndRender } from "./render/notebook/run-and-render.js";
export { pieceLength, smallLength } from "./render/shop-numbers.js";
export type { Figure } from "./render/text.js";
export { type Column, markdownText, resultTable } from "./render/text.js";
export type { Distribution } from "./uncertainty/distributions.js";
export {
  arcSine,
  curvilinearTrapezoid,
  normal,
  rectangular,
  studentT,
  trapezoidal,
  triangular,
} from "./uncertainty/distributions.js";
export {
  checkFirstOrder,
  type FirstOrderCheck,
  type FirstOrderCheckOptions,
} from "./uncertainty/first-order-check.js";
export type { Correlation, InputQuantity, Model, VectorModel } from "./uncertainty/inputs.js";
export type { BudgetLine } from "./uncertainty/law-of-propagation.js";
export {
  type JointPropagation,
  jointPropagation,
  lawOfPropagation,
  type Propagation,
  type PropagationOptions,
} from "./uncertainty/law-of-propagation.js";
// Uncertainty of a formula of your own
export {
  type AdaptiveMonteCarlo,
  type AdaptiveOptions,
  adaptiveMonteCarlo,
  type JointMonteCarlo,
  jointMonteCarlo,
  type MonteCarlo,
  type MonteCarloOptions,
  monteCarlo,
} from "./uncertainty/monte-carlo.js";
export {
  type SensitivityIndices,
  type SensitivityOptions,
  sensitivityIndices,
} from "./uncertainty/sensitivity.js";
export {
  degreesOfFreedomFromReliability,
  type TypeA,
  typeA,
  typeACorrelation,
} from "./uncertainty/type-a.js";
export { type BoxSide, type WorstCase, type WorstCaseOptions, worstCase } from "./uncertainty/worst-case.js";
