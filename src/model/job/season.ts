import { DEGREE } from "../../core/geometry.js";
import type { Wood } from "../wood/wood.js";

/** What the wood comes to at one place and time: its moisture content, or the air that it is left in. */
export interface Climate {
  /** `January`, `the shop`. */
  readonly name: string;
  /** Of the air, °C and a share 0 … 1; `null` where the moisture was measured. */
  readonly air: { readonly temperature: number; readonly humidity: number } | null;
  /** Of the wood, per cent of the dry mass; `null` where it follows from the air. */
  readonly moisture: number | null;
}

/** A strip's wood and how its thickness lies to the growth rings: rad, 0 radial … π/2 tangential. */
export interface StripWood {
  readonly wood: Wood;
  readonly rings: number;
}

/** Where a screen is made and where it hangs. */
export interface Season {
  readonly infill: StripWood;
  readonly grid: StripWood;
  readonly shop: Climate;
  /** In the order of the file: twelve months, or as few states as two. */
  readonly year: readonly Climate[];
  /** Relative standard deviation of a board's movement about its species' coefficient. */
  readonly coefficientTrustedTo: number;
  /** Standard deviation of a moisture content that follows from the air, per cent. */
  readonly moistureTrustedTo: number;
  /** Standard deviation of the rings' angle from strip to strip, rad. */
  readonly ringsTrustedTo: number;
}

/**
 * Where the job is silent. Our own, no source: single boards differ by a fifth and more from their species, and drying and wetting wood
 * part by one or two per cent in the same air (from memory of the Wood Handbook, ch. 4).
 */
export const SEASON_DEFAULTS = {
  coefficientTrustedTo: 0.2,
  moistureTrustedTo: 0.5,
  ringsTrustedTo: 10 * DEGREE,
  /** Rings that run anyhow, rad: halfway between radial and tangential. */
  rings: Math.PI / 4,
} as const;
