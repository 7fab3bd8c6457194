import type { Estimated } from "../../outlook/estimated.js";

/** `7.4 ± 0.3`: a mean count with half the width of its bounds, rounded to it; the bound alone where nothing was counted. */
export function countText({ value, low, high }: Estimated): string {
  const half = (high - low) / 2;
  if (!(half > 0)) return figure(value, Number.isInteger(value) ? 0 : 2);
  const digits = Math.min(4, Math.max(0, Math.ceil(-Math.log10(half / 2))));
  if (value === 0 && low === 0)
    return `under ${(Math.ceil(high * 10 ** digits) / 10 ** digits).toFixed(digits)}`;
  return `${figure(value, digits)} ± ${half.toFixed(digits)}`;
}

function figure(value: number, digits: number): string {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
}
