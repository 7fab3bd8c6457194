/**
 * What goes wrong, in the worth of one scrapped piece. Not symmetric: a piece too long can be trimmed, one too short is scrap.
 * Common practice, no source: the figures are a starting point.
 */
export const COSTS = {
  /** A cell with a gap over the limit: a piece is made anew. */
  openCell: 1,
  /** A cell too tight to close by hand, for each snug limit that it is pressed beyond (up to five): trimming. */
  tightCell: 0.1,
  /** A gap, for each gap limit it is wide (up to three): looks. */
  gap: 0.1,
  /** Touching one adjuster. */
  adjusting: 0.5,
  /** Cutting and measuring one more trial piece. */
  trial: 1,
  /** Cells that the settings will be used for. */
  cells: 20,
} as const;

/** What goes wrong in a job, each in the worth of one scrapped piece, and how many cells it is reckoned for; {@link COSTS} has the defaults. */
export type Costs = { readonly [key in keyof typeof COSTS]: number };
