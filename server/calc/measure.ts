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

/** "8": the whole number that leads a title; under one mile or kilometre, one decimal. */
export function titleLength(metres: number, units: Units): string {
  const length = fromMetres(metres, units);
  return length < 1 ? length.toFixed(1) : String(Math.round(length));
}

/** "520 ft" */
export function climbFigure(metres: number, units: Units, locale: string): string {
  return `${climbFromMetres(metres, units).toLocaleString(locale)} ${climbUnit(units)}`;
}
