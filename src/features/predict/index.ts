// What other features use of this one.
import { FORECAST_PICTURES } from "./forecast-report.js";
import { CELL_PICTURE } from "./prediction-report.js";

export const PREDICT_PICTURES = [CELL_PICTURE, ...FORECAST_PICTURES];
