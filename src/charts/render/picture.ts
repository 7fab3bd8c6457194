import { type ChartSpec, chartLabels } from "../chart-spec.js";
import { type Chart, chart } from "./chart.js";

/**
 * A chart of this project drawn, with its own title and description for those who cannot see it.
 *
 * @throws Error as `specToSvg`
 */
export const picture = (spec: ChartSpec): Promise<Chart> => chart(spec, chartLabels(spec));
