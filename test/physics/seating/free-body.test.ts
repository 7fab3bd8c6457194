import { describe, expect, it } from "vitest";
import { freeBody } from "../../../src/physics/seating/energy.js";
import { linearise } from "../../../src/physics/seating/rest-linear.js";
import type { SeatingModel } from "../../../src/physics/seating/seating-model.js";

/**
 * One body against three fixed faces: its turn and one direction are held by two probes on a face whose normal points along `degrees`, the other direction by a face
 * at `degrees` + `between`.
 */
function block(degrees: number, between: number, weight = 1): SeatingModel {
  const [a, b] = [degrees, degrees + between].map((d) => (d * Math.PI) / 180);
  const along = { x: -Math.sin(a!), y: Math.cos(a!) };
  const probes = [
    { x: 10 * along.x, y: 10 * along.y, normal: a!, first: 0, mate: 2, weight: 1 },
    { x: -10 * along.x, y: -10 * along.y, normal: a!, first: 0, mate: 2, weight: 1 },
    { x: 0, y: 0, normal: b!, first: 1, mate: 3, weight },
  ];
  const numbers = (pick: (p: (typeof probes)[number]) => number) => Float64Array.from(probes, pick);
  return {
    bodies: 1,
    faceBody: Int32Array.of(0, 0, -1, -1),
    faceX: new Float64Array(4),
    faceY: new Float64Array(4),
    faceAngle: Float64Array.of(a!, b!, a! + Math.PI, b! + Math.PI),
    faceOffset: new Float64Array(4),
    probeX: numbers(({ x }) => x),
    probeY: numbers(({ y }) => y),
    normalX: numbers(({ normal }) => Math.cos(normal)),
    normalY: numbers(({ normal }) => Math.sin(normal)),
    first: Int32Array.from(probes, ({ first }) => first),
    mate: Int32Array.from(probes, ({ mate }) => mate),
    weight: numbers((p) => p.weight),
  };
}

const freeIn = (model: SeatingModel) => freeBody(model, linearise(model));
const TURNS = Array.from({ length: 90 }, (_, k) => 4.1 * k);

describe("a body that nothing holds", () => {
  it("is found whichever way it can slide", () => {
    for (const degrees of TURNS) expect(freeIn(block(degrees, 0)), `${degrees}°`).toBe(0);
  });

  it("is not one that two faces hold, however flat their angle", () => {
    for (const degrees of TURNS) {
      for (const between of [90, 10, 0.1, 0.001]) expect(freeIn(block(degrees, between))).toBeNull();
    }
  });

  it("is one whose only stop is not pressed", () => {
    for (const degrees of TURNS) expect(freeIn(block(degrees, 90, 0))).toBe(0);
  });
});
