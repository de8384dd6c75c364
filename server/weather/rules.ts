import { type HeatCategory, heatCategory, heatIndex, windChill } from '../calc/heat.js';
import { celsius, fahrenheit, mph, temperatureFigure, type Units, windFigure } from '../calc/measure.js';
import { BRING_IN_HEAT, cautions, IN_COLD, IN_FROST, IN_HEAT, IN_WIND } from './words.js';

/** The local forecast for a walk: of its hottest hour where that is a risk, else of its set-off. */
export interface Forecast {
  temperatureCelsius: number;
  /** Per cent. */
  humidity: number;
  windMetresPerSecond: number;
}

/** What a forecast means for a walk, in words. */
export interface Advice {
  /** "Hot: feels like 103 °F, Danger" */
  headline: string;
  level: 'plain' | 'caution' | 'danger';
  /** "92 °F, humidity 60%, wind 8 mph" */
  figures: string;
  /** What to do in it. */
  advice: string[];
  /** What holds on every walk. */
  cautions: string[];
}

/** Full sun can add up to this to the heat index, which is reckoned for the shade. Source: US National Weather Service. */
const SUN_FAHRENHEIT = 15;
/** Water freezes: from here down a walk is a cold one (common practice). */
const COLD_FAHRENHEIT = 32;
/** From this wind chill down bare skin freezes within 30 minutes. Source: frostbite times on the NWS wind chill chart, 2001 (memory). */
const FROSTBITE_FAHRENHEIT = -18;
/** A steady wind that the US National Weather Service issues a wind advisory for (memory). */
const STRONG_WIND_MPH = 31;
/** Wind chill is reckoned up to this temperature. Source: US National Weather Service, 2001. */
const CHILL_MOST_FAHRENHEIT = 50;

type Risk = Pick<Advice, 'headline' | 'level' | 'advice'> & { season: 'heat' | 'cold' | 'mild' };

/**
 * What a forecast means: NWS heat index and its category, or NWS wind chill, else that it is mild. Pure. Felt temperatures are whole °F, as
 * on the NWS charts, so that the category is that of the figure shown.
 * @param emergencyNumber the area's own, '' where it has none
 */
export function weatherAdvice(forecast: Forecast, { units }: { units: Units }, emergencyNumber: string): Advice {
  const { season, ...risk } = riskOf(forecast, units);
  const windy = Math.round(mph(forecast.windMetresPerSecond)) >= STRONG_WIND_MPH;
  return {
    headline: windy ? `${risk.headline}, strong wind` : risk.headline,
    level: windy && risk.level === 'plain' ? 'caution' : risk.level,
    figures: forecastFigures(forecast, units),
    advice: windy ? [...risk.advice, IN_WIND] : risk.advice,
    cautions: cautions(season, emergencyNumber),
  };
}

/** "92 °F, humidity 60%, wind 8 mph" */
function forecastFigures({ temperatureCelsius, humidity, windMetresPerSecond }: Forecast, units: Units): string {
  const temperature = temperatureFigure(temperatureCelsius, units);
  return `${temperature}, humidity ${Math.round(humidity)}%, wind ${windFigure(windMetresPerSecond, units)}`;
}

function riskOf(forecast: Forecast, units: Units): Risk {
  const tempF = fahrenheit(forecast.temperatureCelsius);
  const index = Math.round(heatIndex(tempF, forecast.humidity));
  const category = heatCategory(index);
  if (category) return heatRisk(index, category, units);
  if (tempF <= CHILL_MOST_FAHRENHEIT) return coldRisk(tempF, forecast, units);
  return { season: 'mild', level: 'plain', headline: `Mild: ${temperatureFigure(forecast.temperatureCelsius, units)}`, advice: [] };
}

function heatRisk(index: number, category: HeatCategory, units: Units): Risk {
  const felt = (tempF: number) => temperatureFigure(celsius(tempF), units);
  const inSun = index + SUN_FAHRENHEIT;
  const added = units === 'mi' ? `${SUN_FAHRENHEIT} °F` : `${Math.round(SUN_FAHRENHEIT / 1.8)} °C`;
  return {
    season: 'heat',
    level: category === 'Caution' || category === 'Extreme Caution' ? 'caution' : 'danger',
    headline: `${category === 'Caution' ? 'Warm' : 'Hot'}: feels like ${felt(index)}, ${category}`,
    advice: [
      ...IN_HEAT[category],
      `That is in the shade. Full sun can add up to ${added}: then it feels like ${felt(inSun)}, ${heatCategory(inSun)}.`,
      BRING_IN_HEAT,
    ],
  };
}

function coldRisk(tempF: number, { windMetresPerSecond }: Forecast, units: Units): Risk {
  const chill = Math.round(windChill(tempF, mph(windMetresPerSecond)));
  const felt = `${chill < Math.round(tempF) ? 'wind chill ' : ''}${temperatureFigure(celsius(chill), units)} at set-off`;
  if (chill > COLD_FAHRENHEIT) return { season: 'cold', level: 'plain', headline: `Cool: ${felt}`, advice: [] };
  if (chill > FROSTBITE_FAHRENHEIT) return { season: 'cold', level: 'caution', headline: `Cold: ${felt}`, advice: IN_COLD };
  return { season: 'cold', level: 'danger', headline: `Bitter cold: ${felt}, Danger`, advice: [...IN_FROST, ...IN_COLD] };
}
