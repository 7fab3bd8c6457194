import type { SeasonYear } from "./season-year.js";

/** A year as plain data for other programs: lengths in mm, moisture and humidity in per cent, temperature in °C. */
export function seasonJson({
  season,
  shopMoisture,
  inShop,
  states,
  worst,
  tightest,
  cutDriest,
  cells,
  seed,
}: SeasonYear): object {
  const wood = ({
    wood: { name, radial, tangential, startsAt, origin },
    rings,
  }: typeof season.infill): object => ({
    ...{ name, radial, tangential, startsAt, origin },
    ringsDegrees: (rings * 180) / Math.PI,
  });
  return {
    ...{ cells, seed, shopMoisture },
    infill: wood(season.infill),
    grid: wood(season.grid),
    inShop,
    states: states.map(({ climate, ...rest }) => ({
      name: climate.name,
      ...(climate.air && { temperature: climate.air.temperature, humidity: 100 * climate.air.humidity }),
      ...rest,
    })),
    worst: worst.climate.name,
    tightest: tightest.climate.name,
    cutDriest,
  };
}
