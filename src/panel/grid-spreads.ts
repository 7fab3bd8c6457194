/** How far the grid's parts spread: standard deviations, mm and rad; a part that is 0 is perfect. */
export interface GridSpreads {
  /** Of a lap's place. */
  readonly place: number;
  /** Share of the play in a lap that a strip makes use of: 1, or 0 for a strip in the middle of every lap. */
  readonly play: number;
  /** Of the batch of the grid's strips, and of each strip in it. */
  readonly batch: number;
  readonly thickness: number;
  /** Of the corners from a right angle. */
  readonly racked: number;
  /** Of each border member's turn against the grid. */
  readonly borderTurn: number;
  /** Of the batch of the border's stock, and of each member in it: only the outer size knows of it. */
  readonly borderBatch: number;
  readonly borderThickness: number;
}
