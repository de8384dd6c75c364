import { celsius, fahrenheit, kmh, metresPerSecond, mph, type Units } from '../calc/measure.js';
import { type Faults, figure, line, type Typed } from '../web/forms.js';
import type { Forecast } from './rules.js';

/** What can be typed, in the group's own units. Wider than any weather that a walk would be thought of in. */
const BOUNDS = {
  mi: { temperature: [-60, 130], wind: [0, 120] },
  km: { temperature: [-50, 55], wind: [0, 190] },
} as const;

/** How each field's unit is written on the form. */
export const UNIT_WORDS = {
  mi: { temperature: '°F', humidity: '%', wind: 'mph' },
  km: { temperature: '°C', humidity: '%', wind: 'km/h' },
} as const;

/** The group's own units may be typed after a figure; another's are no figure, so that 20 °C is never taken for 20 °F. */
const TYPED_UNITS = {
  mi: { temperature: /\s*°?\s*F$/i, humidity: /\s*%$/, wind: /\s*mph$/i },
  km: { temperature: /\s*°?\s*C$/i, humidity: /\s*%$/, wind: /\s*km\/?h$/i },
} as const;

type Field = keyof (typeof UNIT_WORDS)['mi'];

/** Reads a posted forecast, typed in the group's units: °F and mph, or °C and km/h. Pure. */
export function readForecast(typed: Typed, units: Units): { forecast: Forecast } | { faults: Faults } {
  const faults: Faults = {};
  const read = (field: Field, [least, most]: readonly [number, number], example: string) => {
    const value = figure(line(typed, field).replace('−', '-').replace(TYPED_UNITS[units][field], ''));
    const unit = UNIT_WORDS[units][field];
    if (value === null) faults[field] = `Type a figure in ${unit}, such as ${example}.`;
    else if (value < least || value > most) faults[field] = `Type ${least} to ${most} ${unit}.`;
    // "-0" is nought.
    return (value ?? 0) + 0;
  };
  const { temperature, wind } = BOUNDS[units];
  const degrees = read('temperature', temperature, units === 'mi' ? '72' : '22');
  const humidity = read('humidity', [0, 100], '60');
  const speed = read('wind', wind, '8');
  if (Object.keys(faults).length > 0) return { faults };
  return {
    forecast: {
      temperatureCelsius: units === 'mi' ? celsius(degrees) : degrees,
      humidity,
      windMetresPerSecond: metresPerSecond(speed, units),
    },
  };
}

/** The form's fields for a forecast that was saved. */
export function typedForecast(forecast: Forecast, units: Units): Typed {
  const { temperatureCelsius, humidity, windMetresPerSecond } = forecast;
  const shown = (value: number) => String(Math.round(value * 10) / 10);
  return {
    temperature: shown(units === 'mi' ? fahrenheit(temperatureCelsius) : temperatureCelsius),
    humidity: shown(humidity),
    wind: shown(units === 'mi' ? mph(windMetresPerSecond) : kmh(windMetresPerSecond)),
  };
}
