/** Metres in an international mile, exactly (International Yard and Pound Agreement, 1959). */
export const METRES_PER_MILE = 1609.344;
/** Metres in an international foot, exactly (the same agreement). */
export const METRES_PER_FOOT = 0.3048;

export type Units = 'mi' | 'km';

/** Metres from a distance in the group's unit, whole. */
export function toMetres(distance: number, units: Units): number {
  return Math.round(distance * (units === 'mi' ? METRES_PER_MILE : 1000));
}

/** The distance in the group's unit, unrounded. */
export function fromMetres(metres: number, units: Units): number {
  return metres / (units === 'mi' ? METRES_PER_MILE : 1000);
}

/** Metres of climb from feet (mile groups) or metres (kilometre groups), to a tenth: whole feet come back as they were typed. */
export function climbToMetres(climb: number, units: Units): number {
  return Math.round((units === 'mi' ? climb * METRES_PER_FOOT : climb) * 10) / 10;
}

/** Climb in feet or metres, whole. */
export function climbFromMetres(metres: number, units: Units): number {
  return Math.round(units === 'mi' ? metres / METRES_PER_FOOT : metres);
}

export function climbUnit(units: Units): 'ft' | 'm' {
  return units === 'mi' ? 'ft' : 'm';
}

/** "8.2": one decimal, as on a signpost. */
export function lengthFigure(metres: number, units: Units): string {
  return fromMetres(metres, units).toFixed(1);
}

/** "8.2 mi" */
export function lengthWords(metres: number, units: Units): string {
  return `${lengthFigure(metres, units)} ${units}`;
}

/** "8": the whole number that leads a title; under one mile or kilometre, one decimal. */
export function titleLength(metres: number, units: Units): string {
  const length = fromMetres(metres, units);
  return length < 1 ? length.toFixed(1) : String(Math.round(length));
}

/** Minutes for the group's own unit of length, from minutes a mile. */
export function paceFrom(minutes: number, units: Units): number {
  return units === 'mi' ? minutes : (minutes * 1000) / METRES_PER_MILE;
}

/** Minutes a mile, from minutes for the group's own unit of length. */
export function minutesAMile(pace: number, units: Units): number {
  return units === 'mi' ? pace : (pace * METRES_PER_MILE) / 1000;
}

/** "24 min a mile" from minutes a mile; a kilometre group's to half a minute. */
export function paceFigure(minutes: number, units: Units): string {
  return `${Math.round(paceFrom(minutes, units) * 2) / 2} min a ${units === 'mi' ? 'mile' : 'km'}`;
}

/** "520 ft" */
export function climbFigure(metres: number, units: Units, locale: string): string {
  return `${climbFromMetres(metres, units).toLocaleString(locale)} ${climbUnit(units)}`;
}

/** °F from °C. */
export function fahrenheit(celsius: number): number {
  return celsius * 1.8 + 32;
}

/** °C from °F. */
export function celsius(fahrenheit: number): number {
  return (fahrenheit - 32) / 1.8;
}

/** Miles an hour from metres a second. */
export function mph(metresPerSecond: number): number {
  return (metresPerSecond * 3600) / METRES_PER_MILE;
}

/** Kilometres an hour from metres a second. */
export function kmh(metresPerSecond: number): number {
  return metresPerSecond * 3.6;
}

/** Metres a second from miles or kilometres an hour. */
export function metresPerSecond(wind: number, units: Units): number {
  return (wind * (units === 'mi' ? METRES_PER_MILE : 1000)) / 3600;
}

/** "24 °F" or "−4 °C", by a no-break space. */
export function temperatureFigure(degreesCelsius: number, units: Units): string {
  const degrees = Math.round(units === 'mi' ? fahrenheit(degreesCelsius) : degreesCelsius);
  return `${String(degrees).replace('-', '−')}\u00a0°${units === 'mi' ? 'F' : 'C'}`;
}

/** "12 mph" or "20 km/h" */
export function windFigure(wind: number, units: Units): string {
  return units === 'mi' ? `${Math.round(mph(wind))} mph` : `${Math.round(kmh(wind))} km/h`;
}
