/** `value` with `digits` significant digits, for a sentence; plain where that is short, else with a power of ten. */
export function significant(value: number, digits = 3): string {
  if (!Number.isFinite(value)) return String(value);
  if (value === 0) return "0";
  const size = Math.floor(Math.log10(Math.abs(value)));
  if (size < -5 || size > 9) return value.toExponential(digits - 1);
  return size >= digits ? String(Math.round(value)) : String(Number(value.toPrecision(digits)));
}

export const percent = (share: number): string => `${significant(100 * share, 3)} %`;
