import { coefficientFromShrinkage } from "./coefficient-from-shrinkage.js";
import type { Mark, Movement, Species } from "./species.js";

const MEMORY: Mark = "from memory";
const COMPUTED: Mark = "from memory, recomputed from the shrinkage";

/** Shrinkages as remembered from table 4-3 of the Wood Handbook, per cent: name, radial, tangential. None was read in the source. */
const REMEMBERED: readonly (readonly [string, number, number])[] = [
  ["Paper birch", 6.3, 8.6],
  ["Red alder", 4.4, 7.3],
  ["Quaking aspen", 3.5, 6.7],
  ["Red maple", 4, 8.2],
  ["Northern red oak", 4, 8.6],
  ["Ponderosa pine", 3.9, 6.2],
  ["Engelmann spruce", 3.8, 7.1],
  ["Baldcypress", 3.8, 6.2],
];

const STARTS_AT = 30;

/** Further species, shrinkages from memory and coefficients computed from them: look them up before you rely on them. */
export const REMEMBERED_SPECIES: readonly Species[] = REMEMBERED.map(([name, radial, tangential]) => ({
  name,
  radial: movementOf(radial),
  tangential: movementOf(tangential),
  shrinkageMark: MEMORY,
  startsAt: STARTS_AT,
}));

function movementOf(shrinkage: number): Movement {
  const coefficient = Number(coefficientFromShrinkage(shrinkage, STARTS_AT).toFixed(5));
  return { coefficient, shrinkage, mark: COMPUTED };
}
