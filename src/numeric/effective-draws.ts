/**
 * How many independent draws a walk's draws of one number are worth: with W walkers' means over R rounds scattering by a variance V and all draws by S², they are
 * worth W·S²/V (batch means, each walker a batch). Never more than there are; a walk that never left its starts is worth one draw a walker.
 *
 * @param value of draw k of walker w in round r at place (r·walkers + w).
 */
export function effectiveDraws(draws: number, walkers: number, value: (k: number) => number): number {
  const rounds = draws / walkers;
  const means = new Float64Array(walkers);
  let mean = 0;
  for (let k = 0; k < draws; k++) {
    means[k % walkers]! += value(k) / rounds;
    mean += value(k) / draws;
  }
  let all = 0;
  for (let k = 0; k < draws; k++) all += (value(k) - mean) ** 2 / draws;
  const between = means.reduce((sum, m) => sum + (m - mean) ** 2, 0) / (walkers - 1);
  return between === 0 ? draws : Math.min(draws, (walkers * all) / between);
}
