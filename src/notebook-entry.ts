/**
 * `sukima/notebook`: what a notebook shows: charts, tables, the card, and the runner that executes a notebook.
 *
 * A function named `draw…` gives a drawn chart, one named `…Table` a table; `show` puts either below the cell.
 */

// Showing

export { cardDisplay } from "./features/calibrate/card/card-text.js";
export { type Html, type Live, show } from "./render/notebook/display.js";
export { pieceLength, smallLength } from "./render/shop-numbers.js";
export { type Column, type Figure, markdownText, resultTable } from "./render/text.js";

// Charts

export {
  drawCalibratedCell,
  drawEstimates,
  drawForecast,
  drawReadings,
  drawResiduals,
} from "./features/calibrate/calibration-charts.js";
export { drawPicture, PictureError, pictureNames } from "./features/draw/pictures.js";
export {
  drawBatch,
  drawGauge,
  drawPlan,
  gaugeTable,
  planTable,
  uncertaintiesTable,
} from "./features/draw/workshop-pictures.js";
export { PATTERN_SIZES, type PatternPage, patternBook } from "./features/explain/cause-book.js";
export { verdictDrawing, verdictDrawings } from "./features/explain/explanation-charts.js";
export { failsMap, gapsMap, panelCharts } from "./features/panel/panel-charts.js";
export { livePage } from "./features/play/live-page.js";
export { drawSeason } from "./features/season/season-charts.js";
export { drawTolerances } from "./features/tolerances/tolerance-json.js";
export { cellDrawing } from "./render/cell/cell-drawing.js";
export { type BudgetRow, budgetBars } from "./render/charts/budget-bars.js";
export { type ChartSpec, chartLabels } from "./render/charts/chart-spec.js";
export { type Curve, curvesChart } from "./render/charts/curves-chart.js";
export { type Chart, drawChart, specToSvg, svgToPng } from "./render/charts/draw-chart.js";

// Tables

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
export { checkSentences, explanationTable, unseenTable } from "./features/explain/explanation-tables.js";
export { panelBudgetTable, panelsTable, panelWaysTable } from "./features/panel/panel-tables.js";
export { seasonTable } from "./features/season/season-text.js";
export { toleranceTable } from "./features/tolerances/tolerance-text.js";

// Running a notebook

export { NotebookError } from "./render/notebook/notebook.js";
export { JOB_VARIABLE, runAndRender } from "./render/notebook/run-and-render.js";
