import { describe, expect, it } from "vitest";
import { loadJob } from "../../../src/io/job/load-job.js";
import { SEASON_DEFAULTS } from "../../../src/model/job/season.js";
import { LEAST } from "../good-job.js";
import { faultsOf, inFolder } from "../in-folder.js";

const load = (text: string) => loadJob(inFolder({ "job.yaml": LEAST + text }));
const sentences = (text: string): string[] =>
  faultsOf(() => load(text)).map(({ field, sentence }) => `${field}: ${sentence}`);
const YEAR = "  year: { dry: { temperature: 20 C, humidity: 30 % }, damp: { moisture: 12 } }\n";
const SHOP = "  shop: { temperature: 68 F, humidity: 50 }\n";

describe("the season of a job", () => {
  it("is read with its units and its defaults", () => {
    const { season } = load(`season:\n  wood: sitka spruce\n${SHOP}${YEAR}`);
    expect(season!.infill.wood.name).toBe("Sitka spruce");
    expect(season!.grid).toEqual(season!.infill);
    expect(season!.infill.rings).toBe(SEASON_DEFAULTS.rings);
    expect(season!.shop.air!.temperature).toBeCloseTo(20, 12);
    expect(season!.shop.air!.humidity).toBe(0.5);
    expect(season!.year.map(({ name, moisture }) => [name, moisture])).toEqual([
      ["dry", null],
      ["damp", 12],
    ]);
    expect(load("").season).toBeUndefined();
  });

  it("takes a wood of one's own and the way its rings run", () => {
    const { season } = load(
      `season:\n  wood: My cedar\n  rings: radial\n  grid-rings: 90 deg\n  woods: { my cedar: { radial: 0.001, tangential: 0.002 } }\n${SHOP}${YEAR}`,
    );
    expect(season!.infill.wood).toMatchObject({
      radial: 0.001,
      startsAt: 30,
      origin: "the job's own figures",
    });
    expect([season!.infill.rings, season!.grid.rings]).toEqual([0, Math.PI / 2]);
  });

  it("says what to mend", () => {
    expect(sentences(`season:\n  wood: Sitka sprice\n${SHOP}${YEAR}`).join()).toMatch(
      /season\.wood: .*did you mean Sitka spruce\?/i,
    );
    expect(sentences(`season:\n  wood: Sitka spruce\n  shop: { temperature: 20 C }\n${YEAR}`).join()).toMatch(
      /season\.shop: .*either temperature and humidity of the air, or only the moisture of the wood/,
    );
    expect(sentences(`season:\n  wood: Sitka spruce\n${SHOP}`).join()).toMatch(
      /season.*: .*two states at least/,
    );
    expect(
      sentences(
        `season:\n  wood: Sitka spruce\n  shop: { temperature: -20 C, humidity: 50 }\n${YEAR}`,
      ).join(),
    ).toMatch(/season\.shop\.temperature: .*from -1.2 to 49 °C/);
    expect(sentences(`season:\n  wood: Sitka spruce\n  rings: sideways\n${SHOP}${YEAR}`).join()).toMatch(
      /season\.rings: .*write radial/,
    );
  });
});
