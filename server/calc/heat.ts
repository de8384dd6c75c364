export type HeatCategory = 'Caution' | 'Extreme Caution' | 'Danger' | 'Extreme Danger';

/** Heat index in °F from which each category holds. Source: US National Weather Service. */
const CATEGORIES: readonly (readonly [from: number, name: HeatCategory])[] = [
  [125, 'Extreme Danger'],
  [103, 'Danger'],
  [90, 'Extreme Caution'],
  [80, 'Caution'],
];

/** From this mean of the simple form and the temperature on, the full form is used. */
const FULL_FORM_FROM = 80;

/**
 * Heat index in °F from temperature (°F) and relative humidity (per cent), in the shade.
 * Source: US National Weather Service, Weather Prediction Center, The Heat Index Equation, with both its adjustments.
 */
export function heatIndex(tempF: number, humidity: number): number {
  const simple = 0.5 * (tempF + 61 + (tempF - 68) * 1.2 + humidity * 0.094);
  return (simple + tempF) / 2 < FULL_FORM_FROM ? simple : rothfusz(tempF, humidity) + adjustment(tempF, humidity);
}

/** The regression alone, as the published chart has it. Source: L. P. Rothfusz, NWS Southern Region Technical Attachment SR 90-23 (1990). */
export function rothfusz(tempF: number, humidity: number): number {
  const [t, r] = [tempF, humidity];
  const linear = -42.379 + 2.04901523 * t + 10.14333127 * r;
  const crossed = -0.22475541 * t * r + 0.00122874 * t * t * r + 0.00085282 * t * r * r - 0.00000199 * t * t * r * r;
  return linear - 0.00683783 * t * t - 0.05481717 * r * r + crossed;
}

/** What very dry air takes from the regression, and what very damp air adds (the same source as the index). */
function adjustment(tempF: number, humidity: number): number {
  if (humidity < 13 && tempF >= 80 && tempF <= 112) return -((13 - humidity) / 4) * Math.sqrt((17 - Math.abs(tempF - 95)) / 17);
  if (humidity > 85 && tempF >= 80 && tempF <= 87) return ((humidity - 85) / 10) * ((87 - tempF) / 5);
  return 0;
}

/** The category of a heat index in °F, lower bounds included; null where it is none. Source: US National Weather Service. */
export function heatCategory(indexF: number): HeatCategory | null {
  return CATEGORIES.find(([from]) => indexF >= from)?.[1] ?? null;
}

/**
 * Wind chill in °F from temperature (°F) and wind (mph, at 10 m); the temperature itself over 50 °F or up to 3 mph, where the formula does
 * not hold. Source: US National Weather Service and Environment Canada, 2001.
 */
export function windChill(tempF: number, mph: number): number {
  if (tempF > 50 || mph <= 3) return tempF;
  const wind = mph ** 0.16;
  return 35.74 + 0.6215 * tempF - 35.75 * wind + 0.4275 * tempF * wind;
}
