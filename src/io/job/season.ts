import { z } from "zod";
import type { LengthUnit } from "../../core/quantity/index.js";
import { type Climate, SEASON_DEFAULTS, type Season } from "../../model/job/season.js";
import { MOISTURE_TEMPERATURE_RANGE } from "../../model/wood/equilibrium-moisture.js";
import { REMEMBERED_SPECIES, SPECIES } from "../../model/wood/species.js";
import { ownWood, type Wood, woodOf } from "../../model/wood/wood.js";
import { faultSentence, nearest, Unfit } from "../faults.js";
import { angle, leaf, number, text } from "../yaml/fields.js";
import type { KeyPath, YamlSource } from "../yaml/yaml-source.js";

const GROUP = "season";
const LEAST_STATES = 2;

/** Where the screen is made and where it hangs; `null` if the job does not say. */
export function readSeason(source: YamlSource, unit: LengthUnit): Season | null {
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
        problem: "there are fewer than two states",
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
    shop,
    year,
    coefficientTrustedTo: read["coefficient-trusted-to"],
    moistureTrustedTo: read["moisture-trusted-to"],
    ringsTrustedTo: read["rings-trusted-to"],
  };
}

function readClimate(source: YamlSource, path: KeyPath, name: string, unit: LengthUnit): Climate | null {
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
        problem: "it must give the moisture of the wood in exactly one way",
        rule: "give either temperature and humidity of the air, or only the moisture of the wood",
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

function woodNamed(source: YamlSource, key: string, typed: string, own: readonly Wood[]): Wood | null {
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
      rule: `${near === undefined ? "" : `did you mean ${near}? `}Put a wood of your own under woods: with its radial and tangential coefficient`,
      value: typed,
    }),
    {
      example:
        near === undefined ? "woods: { my wood: { radial: 0.0012, tangential: 0.0024 } }" : `${key}: ${near}`,
    },
  );
  return null;
}

const MOST_MOISTURE = 22;
const MOST_COEFFICIENT = 0.01;

/** A percentage, written with or without its sign: 55, `55 %`. */
function percent(input: unknown, low: number, high: number, rule: string): number {
  const typed = typeof input === "string" ? /^\s*(\d+(?:\.\d+)?)\s*%\s*$/.exec(input)?.[1] : input;
  const value = typeof typed === "string" ? Number(typed) : typed;
  if (typeof value !== "number" || !Number.isFinite(value))
    throw new Unfit("it is not a number of per cent", "write 55 or 55 %");
  if (value > 0 && value < 1)
    throw new Unfit(
      "it looks like a share",
      `${rule}: ${Number((100 * value).toPrecision(12))} for ${value}`,
    );
  if (!(value >= low && value <= high)) throw new Unfit("it is out of reach", rule);
  return value;
}

/** Relative humidity, 0 … 1. Nobody lives in air under 1 %: such a number is a share. */
const humidity = leaf(
  "humidity",
  (input) => percent(input, 1, 99, "relative humidity is given in per cent, from 1 to 99") / 100,
);

const moisture = leaf("moisture", (input) =>
  percent(
    input,
    0,
    MOST_MOISTURE,
    `the moisture of the wood is given in per cent of its dry mass, from 0 to ${MOST_MOISTURE}`,
  ),
);

/** °C. A number without a unit is in °C if lengths are in mm, in °F if they are in inches. */
const temperature = (unit: LengthUnit) =>
  leaf("temperature", (input): number => {
    const typed =
      typeof input === "string" ? /^\s*(-?\d+(?:\.\d+)?)\s*(?:°\s*|deg\s*)?([CF])\s*$/.exec(input) : null;
    const value = typed ? Number(typed[1]) : input;
    if (typeof value !== "number" || !Number.isFinite(value))
      throw new Unfit("it is not a temperature", "write 20 C or 68 F");
    const scale = typed?.[2] ?? (unit === "mm" ? "C" : "F");
    const celsius = scale === "C" ? value : ((value - 32) * 5) / 9;
    const [low, high] = MOISTURE_TEMPERATURE_RANGE.C;
    if (!(celsius >= low && celsius <= high))
      throw new Unfit(
        "it is out of reach",
        `the moisture of wood can be computed for air from ${low} to ${high} °C (30 to 120 °F)`,
      );
    return celsius;
  });

/** Numbers given as a share. */
const share = (what: string, low: number, high: number) =>
  number(what, (value) => value >= low && value <= high, `it is a share, from ${low} to ${high}`);

export const climateShape = (unit: LengthUnit) =>
  z.strictObject({
    temperature: temperature(unit).optional(),
    humidity: humidity.optional(),
    moisture: moisture.optional(),
  });

const coefficient = (what: string) =>
  number(
    what,
    (value) => value > 0 && value <= MOST_COEFFICIENT,
    `it is the change of size per per cent of moisture as a share, above 0 and at most ${MOST_COEFFICIENT}`,
  );

export const ownWoodShape = z.strictObject({
  radial: coefficient("radial"),
  tangential: coefficient("tangential"),
  "starts-at": number(
    "starts-at",
    (value) => value >= MOST_MOISTURE && value <= 40,
    `it is the moisture below which the wood shrinks, from ${MOST_MOISTURE} to 40 %`,
  ).optional(),
});

/** `radial`, `tangential`, or an angle between the two. */
const ringsShape = leaf("rings", (input): number => {
  if (input === "radial") return 0;
  if (input === "tangential") return Math.PI / 2;
  const read = ringsAngle.safeParse(input);
  if (!read.success || read.data > Math.PI / 2 + 1e-12)
    throw new Unfit(
      "it does not say how the rings run",
      "write radial (the thickness lies square to the growth rings), tangential (along them), or the angle from radial, 0 to 90 deg",
    );
  return read.data;
});
const ringsAngle = angle("rings", "non-negative");

export const seasonShape = z.strictObject({
  wood: text("wood"),
  rings: ringsShape.default(SEASON_DEFAULTS.rings),
  "grid-wood": text("grid-wood").optional(),
  "grid-rings": ringsShape.optional(),
  shop: z.unknown().optional(),
  year: z.unknown().optional(),
  woods: z.unknown().optional(),
  "coefficient-trusted-to": share("coefficient-trusted-to", 0, 1).default(
    SEASON_DEFAULTS.coefficientTrustedTo,
  ),
  "moisture-trusted-to": number(
    "moisture-trusted-to",
    (value) => value >= 0 && value <= 5,
    "it is a standard deviation in per cent of moisture, from 0 to 5",
  ).default(SEASON_DEFAULTS.moistureTrustedTo),
  "rings-trusted-to": angle("rings-trusted-to", "non-negative", Math.PI / 2, "it is less than 90°").default(
    SEASON_DEFAULTS.ringsTrustedTo,
  ),
});
