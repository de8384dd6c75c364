import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { celsius, fahrenheit, kmh, metresPerSecond, mph, temperatureFigure, windFigure } from '../../server/calc/measure.js';

describe('temperatures', () => {
  it.each([
    [-40, -40],
    [0, 32],
    [37, 98.6],
    [100, 212],
  ])('%d °C is %d °F', (degreesCelsius, degreesFahrenheit) => {
    expect(fahrenheit(degreesCelsius)).toBeCloseTo(degreesFahrenheit, 9);
    expect(celsius(degreesFahrenheit)).toBeCloseTo(degreesCelsius, 9);
  });

  it.each([
    [-4.4, 'mi', '24\u00a0°F'],
    [-4.4, 'km', '−4\u00a0°C'],
    [-0.4, 'km', '0\u00a0°C'],
    [-17.9, 'mi', '0\u00a0°F'],
    [-30, 'mi', '−22\u00a0°F'],
    [31.6, 'km', '32\u00a0°C'],
  ] as const)('%d °C for a group that measures in %s is "%s"', (degrees, units, figure) => {
    expect(temperatureFigure(degrees, units)).toBe(figure);
  });
});

describe('wind', () => {
  it('is an hour of it: 1 m/s is 3.6 km/h and 2.237 mph', () => {
    expect(kmh(1)).toBeCloseTo(3.6, 9);
    expect(mph(1)).toBeCloseTo(2.236936, 6);
  });

  it('comes back as it was typed, in either unit', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 200 }), (wind) => {
        expect(windFigure(metresPerSecond(wind, 'mi'), 'mi')).toBe(`${wind} mph`);
        expect(windFigure(metresPerSecond(wind, 'km'), 'km')).toBe(`${wind} km/h`);
      }),
    );
  });

  it('is rounded', () => {
    expect(windFigure(5.5, 'mi')).toBe('12 mph');
    expect(windFigure(5.5, 'km')).toBe('20 km/h');
  });
});
