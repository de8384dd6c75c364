import { describe, expect, it } from 'vitest';
import { readMessage } from '../../server/messages/form.js';
import { offeredStarts, startText } from '../../server/messages/starts.js';
import { groupSettings } from '../../server/settings/rules.js';
import { weatherWords } from '../../server/weather/model.js';

describe('a message as typed', () => {
  it('has a subject of one line and a text of several', () => {
    expect(readMessage({ subject: ' Bring\r\na hat ', text: 'One\r\nTwo\n' })).toEqual({
      form: { subject: 'Bring a hat', text: 'One\nTwo' },
    });
  });
  it('says both', () => {
    const read = readMessage({ subject: ' ', text: '' });
    expect('faults' in read && Object.keys(read.faults)).toEqual(['subject', 'text']);
  });
  it.each([
    ['subject', 80],
    ['text', 4000],
  ])('%s has an end', (field, most) => {
    const typed = (length: number) => ({ subject: 'Hat', text: 'Bring one.', [field]: 'a'.repeat(length) });
    expect(readMessage(typed(most))).toHaveProperty('form');
    expect(readMessage(typed(most + 1))).toEqual({ faults: { [field]: `Keep it under ${most} characters; it has ${most + 1}.` } });
  });
});

describe('start texts', () => {
  const forecast = { temperatureCelsius: 35, humidity: 55, windMetresPerSecond: 2, at: Date.UTC(2026, 11, 4, 22) };
  const weather = weatherWords(forecast, 'America/New_York', groupSettings.parse({}), '911');

  it('each can be sent as it is', () => {
    const offered = offeredStarts({ weather });
    expect(offered).toEqual([{ name: 'weather', label: 'The weather' }]);
    for (const { name } of offered) expect(readMessage({ ...startText(name, { weather }) })).toHaveProperty('form');
  });
  it('of the weather has the figures and what to do in it', () => {
    const { subject, text } = startText('weather', { weather });
    expect(subject).toBe(weather.headline);
    expect(text.replace(/\u00a0/g, ' ')).toMatch(
      /^Hot: feels like 10\d °F, Danger\.\nThe forecast as of Fri, Dec 4, 5:00 PM EST: 95 °F, humidity 55%/,
    );
    for (const line of weather.advice) expect(text).toContain(line);
  });
  it.each(['', 'unknown', '__proto__', 'constructor', 'weather'])('%j where there is nothing to tell is empty', (name) => {
    expect(startText(name, { weather: null })).toEqual({ subject: '', text: '' });
    expect(offeredStarts({ weather: null })).toEqual([]);
  });
});
