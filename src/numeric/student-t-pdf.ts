import { stirlingCorrection } from "./log-gamma.js";
import { normalPdf } from "./normal-pdf.js";

/** Density of Student's t with `nu` > 0 degrees of freedom at `t`. Relative error ≤ 1e-14 + 4e-16·|log density|. */
export function tPdf(t: number, nu: number): number {
  if (nu === Infinity) return normalPdf(t);
  const r = Math.abs(t) / Math.sqrt(nu);
  const logSpread = r > 1e8 ? 2 * Math.log(r) : Math.log1p(r * r);
  return Math.exp(logNorm(nu) - ((nu + 1) / 2) * logSpread);
}

/** log[Γ((ν+1)/2)/(Γ(ν/2)√(νπ))], from Stirling corrections so that large ν cost no digits. */
function logNorm(nu: number): number {
  const excess = (nu / 2) * Math.log1p(1 / nu) - 0.5;
  return stirlingCorrection((nu + 1) / 2) - stirlingCorrection(nu / 2) + excess - 0.5 * Math.log(2 * Math.PI);
}
