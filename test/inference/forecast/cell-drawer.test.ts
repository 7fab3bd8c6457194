import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { CellDrawer, type CellDraws } from "../../../src/inference/forecast/cell-drawer.js";

const TWO: CellDraws = {
  shared: 2,
  shops: null,
  correlation: null,
  scatterOf: Int8Array.of(0, 1, -1),
};

describe("a simulated cell", () => {
  it("of independent sources is drawn as standard normals, in order", () => {
    const drawn = new Float64Array(5);
    new CellDrawer(TWO).draw(createStream(4), 17, drawn);
    expect(drawn).toEqual(createStream(4).fill(new Float64Array(5)));
  });

  it("has the correlation of its sources", () => {
    const drawer = new CellDrawer({ ...TWO, correlation: Float64Array.of(1, -0.8, -0.8, 1) });
    const stream = createStream(5);
    const drawn = new Float64Array(5);
    const n = 20_000;
    let [product, square] = [0, 0];
    for (let k = 0; k < n; k++) {
      drawer.draw(stream, k, drawn);
      product += (drawn[0]! * drawn[1]!) / n;
      square += drawn[1]! ** 2 / n;
    }
    expect(product).toBeCloseTo(-0.8, 1);
    expect(square).toBeCloseTo(1, 1);
  });

  it("takes sources and scatters of one shop, and starts over after the last", () => {
    const shops = {
      count: 2,
      effectiveSize: 2,
      draws: Float64Array.of(1, 2, -3, -4),
      factors: Float64Array.of(1, 0, 1, 2, 3, 1),
    };
    const drawer = new CellDrawer({ ...TWO, shops });
    for (const shop of [0, 1, 2]) {
      const [drawn, plain] = [new Float64Array(5), new Float64Array(5)];
      drawer.draw(createStream(6), shop, drawn);
      createStream(6).fill(plain);
      const [own, angle, length] = shop === 1 ? [[-3, -4], 2, 3] : [[1, 2], 1, 0];
      expect([...drawn]).toEqual([...own, plain[2]! * angle, plain[3]! * length, plain[4]!]);
    }
  });
});
