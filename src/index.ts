// Quantities

// Batches
export { type GoNoGo, type GoNoGoOptions, goNoGoSizes, type PieceSizes } from "./batch/go-no-go.js";
export { ewmaRunLength, individualsRunLength } from "./batch/run-length.js";
export { type BatchWatch, type WatchOptions, watchBatch } from "./batch/watch-batch.js";
// Calibration
export {
  type CalibrateOptions,
  type Calibration,
  type CellOutlook,
  calibrateJob,
} from "./calibrate/calibrate-job.js";
export type { Advice, Decision, Verdict } from "./calibrate/decide-moves.js";
export { fitSources, type SourceEstimate, type SourceFit } from "./calibrate/fit-sources.js";
export { type PairRegion, pairRegions } from "./calibrate/pair-regions.js";
export { profileIntervals } from "./calibrate/profile-intervals.js";
export { simulateTrials } from "./calibrate/simulate-trials.js";
export { cellOf, sourcesOf } from "./calibrate/specimen.js";
export { type BudgetRow, budgetBars } from "./charts/budget-bars.js";
// Charts, card and notebooks
export { cellDrawing } from "./charts/cell-drawing.js";
export { type ChartSpec, chartLabels } from "./charts/chart-spec.js";
export { type Curve, curvesChart } from "./charts/curves-chart.js";
export { type Chart, chart } from "./charts/render/chart.js";
export { picture } from "./charts/render/picture.js";
export { specToSvg } from "./charts/render/spec-to-svg.js";
export { svgToPng } from "./charts/render/svg-to-png.js";
// What to cut
export { type CutList, type CutListOptions, cutList } from "./cutlist/cut-list.js";
export { type PackedStock, packStock } from "./cutlist/pack-stock.js";
export { chanceEnough, sparesFor } from "./cutlist/spares.js";
export { type AsCut, asCutErrors } from "./cutting/as-cut-errors.js";
export { type ElementaryError, type ErrorLayout, errorLayout, noErrors } from "./cutting/error-layout.js";
export { type Source, shopSources, sourceMatrix } from "./cutting/sources.js";
// Why it gaps
export { bestCheck, rankedChecks } from "./explain/best-check.js";
export type { Cause } from "./explain/cause.js";
export { cellPlan } from "./explain/cell-plan.js";
export type { Check, WeighedCheck } from "./explain/check.js";
export {
  type ExplainOptions,
  type Explanation,
  explainCells,
  type Verdict as HypothesisVerdict,
} from "./explain/explain-cells.js";
export { ExplainError } from "./explain/explain-error.js";
export { EYE, type Sight, seenByEye, withEye } from "./explain/seen-by-eye.js";
export { singleCauses } from "./explain/single-causes.js";
export { type Unseen, wouldSee } from "./explain/would-see.js";
// Gauges
export { type GaugeReading, GaugeStudyError } from "./gauge/gauge-reading.js";
export { type GaugeStudy, gaugeStudy } from "./gauge/gauge-study.js";
export { COSTS, type Costs } from "./job/costs.js";
// Jobs and readings
export { type Jig, JOB_DEFAULTS, type Job, type SetUp, type Stop } from "./job/job.js";
export { jobAsCut } from "./job/job-as-cut.js";
export { jobArrangement, jobCell } from "./job/job-cell.js";
export { JobError, type JobFault } from "./job/job-error.js";
export { loadJob } from "./job/load-job.js";
export { loadRecord } from "./job/load-record.js";
export { loadTrialPlan, loadTrials } from "./job/load-trials.js";
export { loadTruth, type Truth } from "./job/load-truth.js";
export { newJob } from "./job/new-job.js";
// Panels
export { PANEL_DEFAULTS, type Panel } from "./job/panel.js";
// Patterns
export { type ArrangedPattern, arrangePattern } from "./job/pattern/arrange-pattern.js";
export { findPattern } from "./job/pattern/find-pattern.js";
export type { Pattern, PatternSizes } from "./job/pattern/pattern.js";
export type { PatternFault } from "./job/pattern/pattern-fault.js";
export { patternFaults } from "./job/pattern/pattern-faults-in-file.js";
export { shippedPattern, shippedPatterns } from "./job/pattern/shipped-patterns.js";
// Wood and the year
export { SEASON_DEFAULTS, type Season } from "./job/season.js";
export { type BatchTable, loadBatchTable } from "./job/tables/load-batch-table.js";
export { type GaugeTable, loadGaugeTable } from "./job/tables/load-gauge-table.js";
// How good it must be
export { TOLERANCE_GOAL, type ToleranceGoal } from "./job/tolerance-goal.js";
export { TRIAL_COSTS, type TrialCosts } from "./job/trial-costs.js";
// Many cells
export { createKernel, type KernelOptions, type SeatingKernel } from "./kernel/create-kernel.js";
export { type CellSeater, createSeater, type SeaterOptions } from "./kernel/fitted/create-seater.js";
export { FittedKernel, type Fitting } from "./kernel/fitted/fitted-kernel.js";
export { type SeatedBlock, seatBlock } from "./kernel/seat-block.js";
export type { Arrangement, Cut, CutFace, Piece, Wall } from "./lattice/arrangement.js";
// The cell
export {
  ASANOHA_ANGLES,
  type AsanohaSquareOptions,
  asanohaSquare,
  CLOSING_SEAT_SHARE,
} from "./lattice/asanoha-square.js";
export { BENCH_NAMES, type BenchName, benchNamed } from "./lattice/bench-named.js";
export { benchNames } from "./lattice/bench-names.js";
export type { Cell, Face, Joint } from "./lattice/cell.js";
export { cellProbes, PANEL_SIDES, type PanelSide, type Probe } from "./lattice/cell-probes.js";
export { compileCell } from "./lattice/compile-cell.js";
export { LatticeError } from "./lattice/lattice-error.js";
export { equilibriumMoistureContent } from "./movement/equilibrium-moisture-content.js";
export { SPECIES, speciesNamed } from "./movement/species.js";
export { stripMovement } from "./movement/strip-movement.js";
export { ownWood, type Wood, woodOf } from "./movement/wood.js";
// Mysteries
export { hiddenFaults } from "./mystery/hidden-faults.js";
export { makeMystery } from "./mystery/make-mystery.js";
export { type Marking, markAnswer } from "./mystery/mark-answer.js";
// Numbers
export { type LeastSquaresFit, type LeastSquaresProblem, leastSquares } from "./numeric/least-squares.js";
export { createStream, type RandomStream } from "./numeric/random-stream.js";
// The cells to come
export { jobOutlook, type Outlook, type OutlookOptions } from "./outlook/job-outlook.js";
export { lengthDeviation, pitchCovariance, placeCovariance } from "./panel/lap-places.js";
export { PanelError } from "./panel/panel-error.js";
export type { PanelPrediction } from "./panel/panel-prediction.js";
export type { PanelWay } from "./panel/panel-ways.js";
export { type PanelOptions, predictPanel } from "./panel/predict-panel.js";
// Plans
export { type Design, type DesignProblem, optimalDesign } from "./plan/optimal-design.js";
export { type PlanAim, type PlanOptions, planTrials, type TrialPlan } from "./plan/plan-trials.js";
export { type SeparatingReading, separatingReadings } from "./plan/separating-readings.js";
export {
  type FitOptions,
  type FittedGroup,
  type FittedLengths,
  fitLengths,
} from "./predict/fitting/fit-lengths.js";
export { type FittedPrediction, predictFitted } from "./predict/fitting/predict-fitted.js";
export { type CellPrediction, type ProbeGap, predictCell } from "./predict/predict-cell.js";
export { PredictError } from "./predict/require-meeting.js";
export { type ErrorDirection, errorDirections } from "./predict/sensitivity/error-directions.js";
export { CUT_MOVE, faceMoveSlopes, STRAIGHT_MOVE } from "./predict/sensitivity/face-by-symbols.js";
export { type Sensitivity, sensitivityTable } from "./predict/sensitivity/sensitivity-table.js";
export { slopesByModel } from "./predict/sensitivity/slopes-by-model.js";
export { slopesBySteps } from "./predict/sensitivity/slopes-by-steps.js";
export { slopesBySymbols } from "./predict/sensitivity/slopes-by-symbols.js";
export { type WorstAt, worstAlong } from "./predict/sensitivity/worst-along.js";
export type { Order } from "./lattice/cell.js";
export type { SettleOptions } from "./predict/settle.js";
// Uncertainty of a formula of your own
export {
  type AdaptiveMonteCarlo,
  type AdaptiveOptions,
  adaptiveMonteCarlo,
} from "./propagate/adaptive-monte-carlo.js";
export { arcSine } from "./propagate/arc-sine.js";
export type { BudgetLine } from "./propagate/budget.js";
export { curvilinearTrapezoid } from "./propagate/curvilinear-trapezoid.js";
export type { Distribution } from "./propagate/distribution.js";
export {
  checkFirstOrder,
  type FirstOrderCheck,
  type FirstOrderCheckOptions,
} from "./propagate/first-order-check.js";
export type { Correlation, InputQuantity, Model, VectorModel } from "./propagate/inputs.js";
export { type JointMonteCarlo, jointMonteCarlo } from "./propagate/joint-monte-carlo.js";
export { type JointPropagation, jointPropagation } from "./propagate/joint-propagation.js";
export {
  lawOfPropagation,
  type Propagation,
  type PropagationOptions,
} from "./propagate/law-of-propagation.js";
export { type MonteCarlo, type MonteCarloOptions, monteCarlo } from "./propagate/monte-carlo.js";
export { normal } from "./propagate/normal.js";
export { rectangular } from "./propagate/rectangular.js";
export {
  type SensitivityIndices,
  type SensitivityOptions,
  sensitivityIndices,
} from "./propagate/sensitivity.js";
export { studentT } from "./propagate/student-t.js";
export { trapezoidal, triangular } from "./propagate/trapezoidal.js";
export { type TypeA, typeA, typeACorrelation } from "./propagate/type-a.js";
export { degreesOfFreedomFromReliability } from "./propagate/welch-satterthwaite.js";
export { type BoxSide, type WorstCase, type WorstCaseOptions, worstCase } from "./propagate/worst-case.js";
export * from "./quantity/index.js";
export type { Instrument } from "./readings/instrument.js";
export type { Reading } from "./readings/reading.js";
export {
  cellPicture,
  estimatesPicture,
  outlookPicture,
  readingsPicture,
  residualsPicture,
} from "./report/calibration-charts.js";
export { cardDisplay } from "./report/card/card-in-notebook.js";
export { type SetUpCard, setUpCard } from "./report/card/set-up-card.js";
export { type CardSheet, cardSheet } from "./report/card/sheet/card-sheet.js";
export { sheetHtml } from "./report/card/sheet/sheet-html.js";
export { cutListCsv } from "./report/cutlist/cut-list-csv.js";
export { cutListHtml } from "./report/cutlist/cut-list-html.js";
export { type Html, type Live, show } from "./report/display/show.js";
export { verdictDrawing, verdictDrawings } from "./report/explanation-charts.js";
export { NotebookError } from "./report/notebook-error.js";
export { failsMap, gapsMap, panelCharts } from "./report/panel/panel-charts.js";
export { panelBudgetTable, panelsTable, panelWaysTable } from "./report/panel/panel-tables.js";
export { panelText } from "./report/panel/panel-text.js";
export { PATTERN_SIZES, type PatternPage, patternBook } from "./report/pattern-book/pattern-book.js";
export { namedPicture, PictureError, pictureNames } from "./report/pictures.js";
export { livePage } from "./report/play/live-page.js";
export { JOB_VARIABLE, runAndRender } from "./report/run-and-render.js";
export { seasonPicture } from "./report/season/season-charts.js";
export { seasonTable } from "./report/season/season-table.js";
export { seasonLimits, seasonSentences } from "./report/season/season-text.js";
export { CAUTIONS } from "./report/text/cautions.js";
export { checkSentences, explanationTable, unseenTable } from "./report/text/explanation-tables.js";
export type { Figure } from "./report/text/figure.js";
export { markdownText } from "./report/text/markdown-text.js";
export { type Column, resultTable } from "./report/text/result-table.js";
export { pieceLength, smallLength } from "./report/text/shop-numbers.js";
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
} from "./report/text/tables.js";
export { trialsCsv } from "./report/text/trials-csv.js";
export { tolerancePicture } from "./report/tolerances/tolerance-charts.js";
export { toleranceTable } from "./report/tolerances/tolerance-table.js";
export { notToldText } from "./report/workshop/not-told.js";
export { batchPicture, gaugePicture, planPicture } from "./report/workshop/pictures.js";
export { safetyText } from "./report/workshop/plan-words.js";
export { recordYaml } from "./report/workshop/record-yaml.js";
export { gaugeTable, planTable, uncertaintiesTable } from "./report/workshop/tables.js";
export { type SeasonState, type SeasonYear, seasonYear } from "./season/season-year.js";
export { SeatingError } from "./seating/seating-model.js";
export {
  type CheapestTolerances,
  cheapestTolerances,
  type ToleranceProblem,
} from "./tolerances/cheapest-tolerances.js";
export { type JobTolerances, type JobTolerancesOptions, jobTolerances } from "./tolerances/job-tolerances.js";
