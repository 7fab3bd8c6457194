import type { Estimated } from "../inference/forecast/tally-blocks.js";

/** Decimals that a percentage good to ± `half` (in percent) deserves. */
const decimalsFor = (half: number): number =>
  half > 0 ? Math.min(3, Math.max(0, Math.ceil(-Math.log10(half / 2)))) : 1;

/** `34.06 % ± 0.09 %`: a share with half the width of its bounds, rounded to it; the bound alone where it never happened. */
export function percentText({ value, low, high }: Estimated): string {
  const half = 50 * (high - low);
  if (value === 0 && low === 0 && high > 0) {
    // Rounded up: a bound must not promise more than it holds.
    const digits = decimalsFor(half);
    return `under ${(Math.ceil(100 * high * 10 ** digits) / 10 ** digits).toFixed(digits)} %`;
  }
  if (half === 0) return shareText(value);
  const digits = decimalsFor(half);
  return `${percent(100 * value, digits)} ± ${half.toFixed(digits)} %`;
}

/** A share without bounds: `12.3 %`, never 0 or 100 for what is neither. */
export function shareText(share: number): string {
  if (share > 0 && share < 0.0005) return "under 0.1 %";
  if (share < 1 && share > 0.9995) return "over 99.9 %";
  return `${percent(100 * share, 1)} %`;
}

const percent = (value: number, digits: number): string => {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
};
