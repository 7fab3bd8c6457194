import { formatAngle } from "../quantity/index.js";

/** An angle as a label says it: `22.5°`. */
export const degreesText = (rad: number): string => formatAngle(rad, { digits: 4 }).replace(/\.?0+°/, "°");
