/**
 * How the pieces come by their lengths and their cells: all cut at the stops and taken as they come; cut at the stops, measured, and the longest put
 * into the largest openings; each trimmed by trial until it just goes in.
 */
export const PANEL_WAYS = ["as-cut", "sorted", "fitted"] as const;
/** How the pieces of a panel are made: one of {@link PANEL_WAYS}. */
export type PanelWay = (typeof PANEL_WAYS)[number];
