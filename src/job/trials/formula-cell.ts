/** What a spreadsheet takes for the start of a formula. */
const FORMULA = /^[=+\-@＝＋－＠]/;

/** A text as a cell that no spreadsheet runs: an apostrophe is put before what looks like a formula. */
export const inertCell = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);

/** The text of such a cell. */
export const cellText = (cell: string): string =>
  cell.startsWith("'") && FORMULA.test(cell.slice(1)) ? cell.slice(1) : cell;
