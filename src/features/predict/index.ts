import { FORECAST_PICTURES } from "./forecast-report.js";
import { CELL_PICTURE } from "./prediction-report.js";

// What other features use of this one.

export const PREDICT_PICTURES = [CELL_PICTURE, ...FORECAST_PICTURES];
