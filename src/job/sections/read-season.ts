import { REMEMBERED_SPECIES } from "../../movement/remembered-species.js";
import { SPECIES } from "../../movement/species.js";
import { ownWood, type Wood, woodOf } from "../../movement/wood.js";
import type { LengthUnit } from "../../quantity/index.js";
import type { JobPath, JobSource } from "../file/job-source.js";
import type { Climate, Season } from "../season.js";
import { climateShape, ownWoodShape, seasonShape } from "../shape/season-shapes.js";
import { faultSentence } from "../unfit.js";
import { nearest } from "../words.js";

const GROUP = "season";
const LEAST_STATES = 2;

/** Where the screen is made and where it hangs; `null` for a job that does not say. */
export function readSeason(source: JobSource, unit: LengthUnit): Season | null {
  if (source.at([GROUP]) === undefined) return null;
  const read = source.take([GROUP], seasonShape);
  const own = source.entries([GROUP, "woods"], "woods of your own").flatMap(([name, path]): Wood[] => {
    const figures = source.take(path, ownWoodShape);
    if (figures === undefined) return [];
    const { radial, tangential, "starts-at": startsAt } = figures;
    return [ownWood(name, { radial, tangential, ...(startsAt === undefined ? {} : { startsAt }) })];
  });
  const shop = readClimate(source, [GROUP, "shop"], "the shop", unit);
  const year = source
    .entries([GROUP, "year"], "states of the year")
    .flatMap(([name, path]) => readClimate(source, path, name, unit) ?? []);
  if (year.length < LEAST_STATES)
    source.refuse(
      [GROUP, "year"],
      faultSentence({
        what: "year",
        problem: "there is no year to look at",
        rule: "name two states at least, or the twelve months, each with temperature and humidity, or with the wood's moisture",
      }),
    );
  if (read === undefined || shop === null) return null;
  const wood = woodNamed(source, "wood", read.wood, own);
  const gridWood =
    read["grid-wood"] === undefined ? wood : woodNamed(source, "grid-wood", read["grid-wood"], own);
  if (!wood || !gridWood) return null;
  return {
    infill: { wood, rings: read.rings },
    grid: { wood: gridWood, rings: read["grid-rings"] ?? read.rings },
    ...{ shop, year },
    coefficientTrustedTo: read["coefficient-trusted-to"],
    moistureTrustedTo: read["moisture-trusted-to"],
    ringsTrustedTo: read["rings-trusted-to"],
  };
}

function readClimate(source: JobSource, path: JobPath, name: string, unit: LengthUnit): Climate | null {
  const read = source.take(path, climateShape(unit));
  if (read === undefined) return null;
  const { temperature, humidity, moisture } = read;
  const air = temperature !== undefined && humidity !== undefined;
  const nothing = temperature === undefined && humidity === undefined;
  if (moisture === undefined ? !air : !nothing) {
    source.refuse(
      path,
      faultSentence({
        what: name,
        problem: "it does not say in one way how moist the wood becomes",
        rule: "give temperature and humidity of the air, or the moisture of the wood alone",
      }),
      { example: `${String(path.at(-1))}: { temperature: 20 C, humidity: 50 % }` },
    );
    return null;
  }
  return {
    name,
    air: air ? { temperature: temperature!, humidity: humidity! } : null,
    moisture: moisture ?? null,
  };
}

function woodNamed(source: JobSource, key: string, typed: string, own: readonly Wood[]): Wood | null {
  const known = [...own, ...[...SPECIES, ...REMEMBERED_SPECIES].map(woodOf)];
  const found = known.find(({ name }) => name.toLowerCase() === typed.toLowerCase());
  if (found) return found;
  const names = known.map(({ name }) => name);
  const near = nearest(typed, names);
  source.refuse(
    [GROUP, key],
    faultSentence({
      what: key,
      problem: "there is no such wood in the table",
      rule: `${near === undefined ? "" : `did you mean ${near}? `}A wood of your own stands under woods: with its radial and tangential coefficient`,
      value: typed,
    }),
    {
      example:
        near === undefined ? "woods: { my wood: { radial: 0.0012, tangential: 0.0024 } }" : `${key}: ${near}`,
    },
  );
  return null;
}
