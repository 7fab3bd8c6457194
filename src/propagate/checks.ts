import { refuse } from "../numeric/refuse.js";

export function needFinite(value: number, what: string, where: string): void {
  if (!Number.isFinite(value))
    refuse(`${what} is not a number to work with`, "it must be finite", value, where);
}

export function needPositive(value: number, what: string, where: string): void {
  if (!(value > 0)) refuse(`${what} is out of range`, "it must be > 0", value, where);
}

export function needNotNegative(value: number, what: string, where: string): void {
  if (!(value >= 0 && Number.isFinite(value)))
    refuse(`${what} is out of range`, "it must be ≥ 0 and finite", value, where);
}

export function needProbability(value: number, what: string, where: string): void {
  if (!(value > 0 && value < 1))
    refuse(`${what} is out of range`, "it must lie between 0 and 1", value, where);
}

export function needLimits(lo: number, hi: number, where: string): void {
  if (!(lo < hi && Number.isFinite(lo) && Number.isFinite(hi)))
    refuse("the limits are reversed, equal or infinite", "lo < hi, both finite", `[${lo}, ${hi}]`, where);
}
