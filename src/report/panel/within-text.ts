import type { Estimated } from "../../outlook/estimated.js";
import { percentText } from "../outlook/percent-text.js";

/** A chance with its bounds, as `percentText` has it; the bound alone where it happened every time, too. */
export function withinText(chance: Estimated): string {
  if (chance.value < 1 || chance.low === chance.high) return percentText(chance);
  const fails = percentText({ value: 0, low: 0, high: 1 - chance.low });
  return `over ${Number((100 - Number(/[\d.]+/.exec(fails)![0])).toFixed(6))} %`;
}
