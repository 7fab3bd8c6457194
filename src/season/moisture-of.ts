import type { Climate } from "../job/season.js";
import { equilibriumMoistureContent } from "../movement/equilibrium-moisture-content.js";

/** Moisture that wood comes to there, per cent of its dry mass: as measured, or by eq. 4-5 of the Wood Handbook from the air. */
export const moistureOf = ({ air, moisture }: Climate): number =>
  moisture ?? equilibriumMoistureContent(air!.humidity, air!.temperature);
