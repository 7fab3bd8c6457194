/**
 * `sukima/notebook`: what a notebook shows: charts, tables, the card, and the runner that executes a notebook.
 *
 * A function named `draw…` gives a drawn chart, one named `…Table` a table; `show` puts either below the cell.
 */

// Showing

export { cardDisplay } from "./features/calibrate/card/card-text.js";
export { type Content, Html, html, raw } from "./render/html.js";
export { type HtmlOutput, type Live, show, showPair, showWide } from "./render/notebook/display.js";
export { pieceLength, smallLength } from "./render/shop-numbers.js";
export { type Column, type Figure, markdownText, resultTable, type Shown } from "./render/text.js";

// A lesson: its job, its checks, the figures of its ideas

export { grainFigure } from "./features/notebook/figures/grain-figure.js";
export { faceFigure, pointFigure, settlingFigure } from "./features/notebook/figures/joint-figures.js";
export { lapFigure } from "./features/notebook/figures/lap-figure.js";
export {
  type IdeaOptions,
  type LeafReading,
  leafLikelihoodChart,
  type Narrowing,
  narrowingChart,
  ridgeChart,
  type SpreadOf,
  type SpreadOptions,
  spreadsChart,
} from "./features/notebook/figures/probability-charts.js";
export {
  cautions,
  check,
  DEMONSTRATION,
  type Lesson,
  type Need,
  openLesson,
  type Practice,
  practiceReadings,
  requireOfJob,
} from "./features/notebook/lesson.js";

// Charts

export { drawBatch, type NamedWatch } from "./features/batch/batch-report.js";
export {
  drawCalibratedCell,
  drawEstimates,
  drawForecast,
  drawReadings,
  drawResiduals,
} from "./features/calibrate/calibration-charts.js";
export {
  drawPicture,
  type PictureName,
  type PictureOptions,
  pictureNames,
} from "./features/draw/pictures.js";
export {
  type CauseDrawingOptions,
  causeDrawings,
} from "./features/explain/explanation-display.js";
export { PATTERN_SIZES, type PatternPage, patternBook } from "./features/explain/pattern-book.js";
export { drawGauge, gaugeTable } from "./features/gauge/gauge-report.js";
export { failsMap, gapsMap, panelCharts } from "./features/panel/panel-report.js";
export { drawPlan, planTable, uncertaintiesTable } from "./features/plan/plan-report.js";
export { livePage } from "./features/play/live-page.js";
export { drawSeason } from "./features/season/season-report.js";
export { drawTolerances } from "./features/tolerances/tolerance-report.js";
export { type CellDrawingInput, type CellDrawingOptions, cellDrawing } from "./render/cell/cell-drawing.js";
export type { JointLimits } from "./render/cell/cell-legend.js";
export { type BudgetBarsOptions, type BudgetRow, budgetBars } from "./render/charts/budget-bars.js";
export {
  type ChartOptions,
  type ChartSpec,
  chartLabels,
  type SvgLabels,
  type VegaLiteSpec,
} from "./render/charts/chart-spec.js";
export {
  type Curve,
  type CurveAxis,
  type CurvesChartOptions,
  curvesChart,
} from "./render/charts/curves-chart.js";
export { type Chart, drawChart, type PngOptions, specToSvg, svgToPng } from "./render/charts/draw-chart.js";
export type { JobPicture, Once, PictureInput, PictureNeed } from "./render/pictures.js";
export type { AxisUnit } from "./render/shop-numbers.js";
export type { Drawing } from "./render/svg.js";

// Tables

export {
  adviceTable,
  pairsTable,
  readingsTable,
  sourcesTable,
} from "./features/calibrate/calibration-tables.js";
export {
  answerSentences,
  causesTable,
  contributionsTable,
  storiesTable,
} from "./features/explain/explanation-display.js";
export { panelBudgetTable, panelsTable, panelWaysTable } from "./features/panel/panel-tables.js";
export {
  ERROR_SIZES,
  gapsTable,
  piecesTable,
  sensitivitiesTable,
  stopsTable,
} from "./features/predict/prediction-tables.js";
export { seasonTable } from "./features/season/season-report.js";
export { toleranceTable } from "./features/tolerances/tolerance-report.js";

// Running a notebook

export type { Transport } from "./render/notebook/connection.js";
export { NotebookError, type PathName } from "./render/notebook/notebook.js";
export {
  JOB_VARIABLE,
  type Report,
  type ReportOptions,
  runAndRender,
} from "./render/notebook/run-and-render.js";
export type { CellStep, RunOptions, RunStats } from "./render/notebook/run-notebook.js";
