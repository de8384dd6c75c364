import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readForecast, typedForecast } from '../../server/weather/form.js';

const TYPED = { temperature: '88', humidity: '60', wind: '8' };

function forecast(changed: Record<string, string>, units: 'mi' | 'km' = 'mi') {
  const read = readForecast({ ...TYPED, ...changed }, units);
  return 'forecast' in read ? read.forecast : read.faults;
}

describe('a forecast as typed', () => {
  it('is kept in °C and metres a second', () => {
    expect(forecast({ temperature: '77', wind: '10' })).toEqual({
      temperatureCelsius: 25,
      humidity: 60,
      windMetresPerSecond: expect.closeTo(4.4704, 6),
    });
    expect(forecast({ temperature: '-4,5', wind: '36' }, 'km')).toEqual({
      temperatureCelsius: -4.5,
      humidity: 60,
      windMetresPerSecond: 10,
    });
  });

  it("may carry the group's own units, and no other's", () => {
    expect(forecast({ temperature: '77 °F', humidity: '60%', wind: '10 mph' })).toMatchObject({ temperatureCelsius: 25, humidity: 60 });
    expect(forecast({ temperature: '−5 °C', wind: '36 km/h' }, 'km')).toMatchObject({ temperatureCelsius: -5, windMetresPerSecond: 10 });
    expect(forecast({ temperature: '25 °C' })).toEqual({ temperature: 'Type a figure in °F, such as 72.' });
    expect(forecast({ temperature: '20', wind: '10 mph' }, 'km')).toEqual({ wind: 'Type a figure in km/h, such as 8.' });
  });

  it('has a sentence for each field that is none', () => {
    expect(forecast({ temperature: '', humidity: 'damp', wind: 'NaN' })).toEqual({
      temperature: 'Type a figure in °F, such as 72.',
      humidity: 'Type a figure in %, such as 60.',
      wind: 'Type a figure in mph, such as 8.',
    });
  });

  it.each([
    ['temperature', ['-60', '130'], ['-60.1', '130.1'], 'Type -60 to 130 °F.'],
    ['humidity', ['0', '100', '-0'], ['-1', '100.1'], 'Type 0 to 100 %.'],
    ['wind', ['0', '120'], ['-1', '120.1'], 'Type 0 to 120 mph.'],
  ])('%s has bounds', (field, right, wrong, sentence) => {
    for (const value of right) expect(forecast({ [field]: value })).toHaveProperty('humidity', expect.any(Number));
    for (const value of wrong) expect(forecast({ [field]: value })).toEqual({ [field]: sentence });
  });

  it('comes back into the form as it was typed', () => {
    const tenths = (least: number, most: number) => fc.integer({ min: least * 10, max: most * 10 }).map((tenth) => String(tenth / 10));
    const both = fc.constantFrom<('mi' | 'km')[]>('mi', 'km');
    fc.assert(
      fc.property(tenths(-50, 55), tenths(0, 100), tenths(0, 120), both, (temperature, humidity, wind, units) => {
        const typed = { temperature, humidity, wind };
        const read = readForecast(typed, units);
        expect('forecast' in read && typedForecast(read.forecast, units)).toEqual(typed);
      }),
    );
  });
});
