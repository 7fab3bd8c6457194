import type { SeatingModel } from "../../../seating/seating-model.js";

/** A face as one of its joints sees it: turned by `tilt` (rad) from the probe's nominal normal, which is rounding unless the nominal faces are not quite parallel. */
export interface Facet {
  readonly face: number;
  readonly body: number;
  readonly tilt: number;
}

/** One side of a contact. */
export interface Side {
  readonly facet: number;
  readonly body: number;
  /** The nominal normal, out of this side. */
  readonly nx: number;
  readonly ny: number;
  /** For each probe, where it lies from the face's origin: along the normal, and along the normal turned by +90°, mm. */
  readonly out: readonly number[];
  readonly along: readonly number[];
}

/** Probes that share both faces and the normal: the two ends of a joint, or a pin. */
export interface Contact {
  readonly probes: readonly number[];
  readonly sides: readonly [Side, Side];
}

export interface Contacts {
  readonly facets: readonly Facet[];
  readonly contacts: readonly Contact[];
}

/** Tilts up to this size, rad, are rounding: over a metre they move a face by 1e-11 mm. */
const ROUNDING = 1e-14;

export function contactsOf(model: SeatingModel): Contacts {
  const facets: Facet[] = [];
  const facetOf = (face: number, tilt: number): number => {
    const known = facets.findIndex((facet) => facet.face === face && facet.tilt === tilt);
    if (known >= 0) return known;
    return facets.push({ face, body: model.faceBody[face]!, tilt }) - 1;
  };
  const sideOf = (probes: readonly number[], face: number, sign: 1 | -1): Side => {
    const [nx, ny] = [sign * model.normalX[probes[0]!]!, sign * model.normalY[probes[0]!]!];
    const away = probes.map((probe) => {
      const x = model.probeX[probe]! - model.faceX[face]!;
      const y = model.probeY[probe]! - model.faceY[face]!;
      return { out: nx * x + ny * y, along: nx * y - ny * x };
    });
    const turn = model.faceAngle[face]! - Math.atan2(ny, nx);
    const tilt = turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI));
    return {
      facet: facetOf(face, Math.abs(tilt) <= ROUNDING ? 0 : tilt),
      body: model.faceBody[face]!,
      nx,
      ny,
      out: away.map(({ out }) => out),
      along: away.map(({ along }) => along),
    };
  };
  const contacts = grouped(model).map((probes): Contact => {
    const [first, mate] = [model.first[probes[0]!]!, model.mate[probes[0]!]!];
    return { probes, sides: [sideOf(probes, first, 1), sideOf(probes, mate, -1)] };
  });
  return { facets, contacts };
}

function grouped({ first, mate, normalX, normalY }: SeatingModel): number[][] {
  const groups = new Map<string, number[]>();
  for (const i of first.keys()) {
    const key = `${first[i]} ${mate[i]} ${normalX[i]} ${normalY[i]}`;
    groups.set(key, [...(groups.get(key) ?? []), i]);
  }
  return [...groups.values()];
}
