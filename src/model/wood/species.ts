import { coefficientFromShrinkage } from "./dimensional-change.js";

/** Origin of a figure in this table. */
export type Mark = "read in the source" | "from memory" | "from memory, recomputed from the shrinkage";

const READ: Mark = "read in the source";
const MEMORY: Mark = "from memory";
const COMPUTED: Mark = "from memory, recomputed from the shrinkage";

/** Movement of one species in one direction across the grain. */
export interface Movement {
  /** Dimensional change coefficient, per per cent of moisture, valid for 6–14 %. */
  readonly coefficient: number;
  /** Per cent of the green size, green to ovendry. */
  readonly shrinkage: number;
  /** Origin of the coefficient. */
  readonly mark: Mark;
}

/** One species of the table. */
export interface Species {
  readonly name: string;
  /** Square to the growth rings. */
  readonly radial: Movement;
  /** Along the growth rings. */
  readonly tangential: Movement;
  /** Origin of both shrinkages. */
  readonly shrinkageMark: Mark;
  /** Moisture content, in per cent, below which it shrinks. */
  readonly startsAt: number;
  readonly note?: string;
}

/**
 * Wood Handbook, FPL-GTR-190, 2010: coefficients of table 13-5, shrinkages of table 4-3. Each row states which of its
 * figures were read in the source. Single boards differ by a fifth or more (general experience, no source).
 */
export const SPECIES: readonly Species[] = [
  {
    name: "American basswood",
    radial: { coefficient: 0.0023, shrinkage: 6.6, mark: READ },
    tangential: { coefficient: 0.0033, shrinkage: 9.3, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Yellow-poplar",
    radial: { coefficient: 0.00158, shrinkage: 4.6, mark: COMPUTED },
    tangential: { coefficient: 0.00289, shrinkage: 8.2, mark: COMPUTED },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Black cherry",
    radial: { coefficient: 0.00126, shrinkage: 3.7, mark: READ },
    tangential: { coefficient: 0.00248, shrinkage: 7.1, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Black walnut",
    radial: { coefficient: 0.0019, shrinkage: 5.5, mark: READ },
    tangential: { coefficient: 0.00274, shrinkage: 7.8, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Sugar (hard) maple",
    radial: { coefficient: 0.00165, shrinkage: 4.8, mark: READ },
    tangential: { coefficient: 0.00353, shrinkage: 9.9, mark: READ },
    shrinkageMark: MEMORY,
    startsAt: 30,
  },
  {
    name: "White oak",
    radial: { coefficient: 0.0018, shrinkage: 5.6, mark: READ },
    tangential: { coefficient: 0.00365, shrinkage: 10.5, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
    note: "coefficients of the commercial white oak group, shrinkage of the species",
  },
  {
    name: "American beech",
    radial: { coefficient: 0.0019, shrinkage: 5.5, mark: READ },
    tangential: { coefficient: 0.00431, shrinkage: 11.9, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Yellow birch",
    radial: { coefficient: 0.00256, shrinkage: 7.3, mark: READ },
    tangential: { coefficient: 0.00338, shrinkage: 9.5, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Butternut",
    radial: { coefficient: 0.00116, shrinkage: 3.4, mark: READ },
    tangential: { coefficient: 0.00223, shrinkage: 6.4, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "White ash",
    radial: { coefficient: 0.00169, shrinkage: 4.9, mark: READ },
    tangential: { coefficient: 0.00274, shrinkage: 7.8, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Eastern white pine",
    radial: { coefficient: 0.00071, shrinkage: 2.1, mark: COMPUTED },
    tangential: { coefficient: 0.00212, shrinkage: 6.1, mark: COMPUTED },
    shrinkageMark: MEMORY,
    startsAt: 30,
  },
  {
    name: "Sugar pine",
    radial: { coefficient: 0.00099, shrinkage: 2.9, mark: COMPUTED },
    tangential: { coefficient: 0.00194, shrinkage: 5.6, mark: COMPUTED },
    shrinkageMark: MEMORY,
    startsAt: 30,
  },
  {
    name: "Western white pine",
    radial: { coefficient: 0.00141, shrinkage: 4.1, mark: COMPUTED },
    tangential: { coefficient: 0.00259, shrinkage: 7.4, mark: COMPUTED },
    shrinkageMark: MEMORY,
    startsAt: 30,
  },
  {
    name: "Sitka spruce",
    radial: { coefficient: 0.00148, shrinkage: 4.3, mark: COMPUTED },
    tangential: { coefficient: 0.00263, shrinkage: 7.5, mark: COMPUTED },
    shrinkageMark: MEMORY,
    startsAt: 30,
  },
  {
    name: "Port-Orford-cedar",
    radial: { coefficient: 0.00158, shrinkage: 4.6, mark: COMPUTED },
    tangential: { coefficient: 0.00241, shrinkage: 6.9, mark: COMPUTED },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Western redcedar",
    radial: { coefficient: 0.00111, shrinkage: 2.4, mark: COMPUTED },
    tangential: { coefficient: 0.00234, shrinkage: 5, mark: COMPUTED },
    shrinkageMark: READ,
    startsAt: 22,
  },
  {
    name: "Yellow (Alaska) cedar",
    radial: { coefficient: 0.00095, shrinkage: 2.8, mark: COMPUTED },
    tangential: { coefficient: 0.00208, shrinkage: 6, mark: COMPUTED },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Incense cedar",
    radial: { coefficient: 0.00112, shrinkage: 3.3, mark: COMPUTED },
    tangential: { coefficient: 0.0018, shrinkage: 5.2, mark: COMPUTED },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "Northern white-cedar",
    radial: { coefficient: 0.00101, shrinkage: 2.2, mark: COMPUTED },
    tangential: { coefficient: 0.00229, shrinkage: 4.9, mark: COMPUTED },
    shrinkageMark: READ,
    startsAt: 22,
  },
  {
    name: "Redwood, old-growth",
    radial: { coefficient: 0.0012, shrinkage: 2.6, mark: COMPUTED },
    tangential: { coefficient: 0.00205, shrinkage: 4.4, mark: COMPUTED },
    shrinkageMark: MEMORY,
    startsAt: 22,
  },
  {
    name: "Redwood, young-growth",
    radial: { coefficient: 0.00101, shrinkage: 2.2, mark: COMPUTED },
    tangential: { coefficient: 0.00229, shrinkage: 4.9, mark: COMPUTED },
    shrinkageMark: MEMORY,
    startsAt: 22,
  },
  {
    name: "Douglas-fir, coast",
    radial: { coefficient: 0.00165, shrinkage: 4.8, mark: COMPUTED },
    tangential: { coefficient: 0.00267, shrinkage: 7.6, mark: READ },
    shrinkageMark: READ,
    startsAt: 30,
  },
  {
    name: "White fir",
    radial: { coefficient: 0.00112, shrinkage: 3.3, mark: READ },
    tangential: { coefficient: 0.00245, shrinkage: 7, mark: COMPUTED },
    shrinkageMark: READ,
    startsAt: 30,
  },
];

/**
 * The species with this name (case is ignored), from this table or from those remembered (`REMEMBERED_SPECIES`).
 * @throws RangeError for an unknown name, listing the known ones
 * @example
 * speciesNamed("Sitka spruce").name // "Sitka spruce"
 */
export function speciesNamed(name: string): Species {
  const all = [...SPECIES, ...REMEMBERED_SPECIES];
  const found = all.find((species) => species.name.toLowerCase() === name.toLowerCase());
  if (found) return found;
  const names = all.map((species) => species.name).join(", ");
  throw new RangeError(`the species is not in the table; one of ${names}; got ${name}; in speciesNamed`);
}

/** Shrinkages as remembered from table 4-3 of the Wood Handbook, per cent: name, radial, tangential. None was checked against the source. */
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

/** Further species, with shrinkages from memory and coefficients computed from them. Check them before you rely on them. */
export const REMEMBERED_SPECIES: readonly Species[] = REMEMBERED.map(([name, radial, tangential]) => ({
  name,
  radial: movementOf(radial),
  tangential: movementOf(tangential),
  shrinkageMark: MEMORY,
  startsAt: STARTS_AT,
  ...(name.endsWith("red oak")
    ? {
        note: "coefficients from the shrinkage of this species; the handbook's are of the commercial red oak group",
      }
    : {}),
}));

function movementOf(shrinkage: number): Movement {
  const coefficient = Number(coefficientFromShrinkage(shrinkage, STARTS_AT).toFixed(5));
  return { coefficient, shrinkage, mark: COMPUTED };
}
