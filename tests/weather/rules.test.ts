import { describe, expect, it } from 'vitest';
import { celsius, metresPerSecond } from '../../server/calc/measure.js';
import { weatherAdvice } from '../../server/weather/rules.js';

/** °F, per cent, mph. */
const advice = (tempF: number, humidity: number, wind: number, units: 'mi' | 'km' = 'mi', number = '911') =>
  weatherAdvice({ temperatureCelsius: celsius(tempF), humidity, windMetresPerSecond: metresPerSecond(wind, 'mi') }, { units }, number);
const plain = (text: string) => text.replace(/\u00a0/g, ' ');
const said = (tempF: number, humidity: number, wind: number, units: 'mi' | 'km' = 'mi') => {
  const { headline, level } = advice(tempF, humidity, wind, units);
  return [plain(headline), level];
};

describe('heat', () => {
  // On both sides of each bound of the NWS categories; 80,40 · 88,70 · 94,50 · 96,65 · 90,100 are cells of the NWS chart (read).
  it.each([
    [79, 40, 'Mild: 79 °F', 'plain'],
    [80, 40, 'Warm: feels like 80 °F, Caution', 'caution'],
    [88, 40, 'Warm: feels like 88 °F, Caution', 'caution'],
    [88, 70, 'Hot: feels like 100 °F, Extreme Caution', 'caution'],
    [94, 50, 'Hot: feels like 103 °F, Danger', 'danger'],
    [93.8, 49, 'Hot: feels like 102 °F, Extreme Caution', 'caution'],
    [96, 65, 'Hot: feels like 121 °F, Danger', 'danger'],
    [90, 100, 'Hot: feels like 132 °F, Extreme Danger', 'danger'],
  ])('%s °F at %s %%', (tempF, humidity, headline, level) => {
    expect(said(tempF, humidity, 5)).toEqual([headline, level]);
  });

  it('gives the category of the figure it shows', () => {
    for (let tempF = 80; tempF < 110; tempF += 0.1) {
      const [headline = ''] = said(tempF, 45, 5);
      const [, felt, category] = /feels like (\d+) °F, (.*)/.exec(headline) ?? [];
      const index = Number(felt);
      const bounds = index >= 125 ? 'Extreme Danger' : index >= 103 ? 'Danger' : index >= 90 ? 'Extreme Caution' : 'Caution';
      if (felt !== undefined) expect([headline, category]).toEqual([headline, bounds]);
    }
  });

  it('says what to do, and what full sun can add', () => {
    expect(advice(94, 50, 5).advice.map(plain)).toEqual([
      'Heat exhaustion is likely, and heat stroke possible.',
      expect.stringMatching(/^In such heat walks are called off or moved/),
      'That is in the shade. Full sun can add up to 15 °F: then it feels like 118 °F, Danger.',
      expect.stringMatching(/^Bring a hat/),
    ]);
    expect(advice(94, 50, 5, 'km').advice.map(plain)[2]).toBe(
      'That is in the shade. Full sun can add up to 8 °C: then it feels like 48 °C, Danger.',
    );
  });
});

describe('cold', () => {
  it.each([
    [51, 20, 'Mild: 51 °F', 'plain'],
    // 35,5 · 25,15 · 0,15 are cells of the NWS wind chill chart (read), the others computed from its formula.
    [50, 20, 'Cool: wind chill 44 °F at set-off', 'plain'],
    [50, 3, 'Cool: 50 °F at set-off', 'plain'],
    [35, 3, 'Cool: 35 °F at set-off', 'plain'],
    [35, 5, 'Cold: wind chill 31 °F at set-off', 'caution'],
    [33, 0, 'Cool: 33 °F at set-off', 'plain'],
    [32, 0, 'Cold: 32 °F at set-off', 'caution'],
    [25, 15, 'Cold: wind chill 13 °F at set-off', 'caution'],
    [0, 12, 'Cold: wind chill −17 °F at set-off', 'caution'],
    [0, 13, 'Bitter cold: wind chill −18 °F at set-off, Danger', 'danger'],
    [0, 15, 'Bitter cold: wind chill −19 °F at set-off, Danger', 'danger'],
  ])('%s °F and %s mph', (tempF, wind, headline, level) => {
    expect(said(tempF, 60, wind)).toEqual([headline, level]);
  });

  it('warns of frostbite from where bare skin freezes within half an hour', () => {
    expect(advice(0, 60, 15).advice[0]).toMatch(/^Bare skin can freeze within 30 minutes/);
    expect(advice(0, 60, 12).advice.join()).not.toMatch(/freeze/);
  });

  it('counts in °C and km/h for a kilometre group', () => {
    expect(said(23, 60, 10, 'km')).toEqual(['Cold: wind chill −11 °C at set-off', 'caution']);
    expect(plain(advice(23, 60, 10, 'km').figures)).toBe('−5 °C, humidity 60%, wind 16 km/h');
  });
});

describe('on every walk', () => {
  it('a strong wind is said, whatever the temperature', () => {
    expect(said(60, 50, 30)).toEqual(['Mild: 60 °F', 'plain']);
    expect(said(60, 50, 31)).toEqual(['Mild: 60 °F, strong wind', 'caution']);
    expect(said(94, 50, 40)).toEqual(['Hot: feels like 103 °F, Danger, strong wind', 'danger']);
  });

  it.each([
    ['heat', 94, /heat stroke\. Call the emergency number first.*nothing to drink/],
    ['cold', 20, /hypothermia/],
    ['mild weather', 60, /911 first/],
  ])('the cautions hold: %s', (_, tempF, own) => {
    const text = advice(tempF, 50, 5).cautions.join('\n');
    expect(text).toMatch(own);
    for (const words of [
      /^In an emergency call 911 first/,
      /Drink to thirst: before, during and after/,
      /salty/,
      /Too much plain water is dangerous/,
    ])
      expect(text).toMatch(words);
    for (const words of [/Local rules and medical advice.*come first/, /may turn away someone who is not prepared/])
      expect(text).toMatch(words);
    expect(advice(tempF, 50, 5, 'mi', '').cautions[0]).toBe('In an emergency call the emergency number first, then tell the leader.');
  });
});
