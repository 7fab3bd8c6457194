import { DEGREE } from "../../core/geometry.js";
import type { Wood } from "../wood/wood.js";

/** The state of the wood at one place and time: its moisture content, or the air around it. */
export interface Climate {
  /** `January`, `the shop`. */
  readonly name: string;
  /** Temperature (°C) and relative humidity (0 … 1) of the air; `null` when the moisture was measured. */
  readonly air: { readonly temperature: number; readonly humidity: number } | null;
  /** Moisture content of the wood, per cent of the dry mass; `null` when it follows from the air. */
  readonly moisture: number | null;
}

/** A strip's wood, and the angle of its thickness to the radial direction, rad: 0 radial … π/2 tangential. */
export interface StripWood {
  readonly wood: Wood;
  readonly rings: number;
}

/** Where a screen is made and where it hangs. */
export interface Season {
  readonly infill: StripWood;
  readonly grid: StripWood;
  readonly shop: Climate;
  /** States in the order of the file: at least two, usually twelve months. */
  readonly year: readonly Climate[];
  /** Relative standard deviation of a board's movement about its species' coefficient. */
  readonly coefficientTrustedTo: number;
  /** Standard deviation of a moisture content that follows from the air, per cent. */
  readonly moistureTrustedTo: number;
  /** Standard deviation of the rings' angle from strip to strip, rad. */
  readonly ringsTrustedTo: number;
}

/**
 * Defaults. Our own, no source: single boards differ by a fifth or more from their species, and the moisture contents of drying and wetting wood
 * differ by one or two per cent in the same air (from memory of the Wood Handbook, ch. 4).
 */
export const SEASON_DEFAULTS = {
  coefficientTrustedTo: 0.2,
  moistureTrustedTo: 0.5,
  ringsTrustedTo: 10 * DEGREE,
  /** Angle for rings in no particular direction, rad: halfway between radial and tangential. */
  rings: Math.PI / 4,
} as const;
