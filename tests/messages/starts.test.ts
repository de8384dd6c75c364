import { describe, expect, it } from 'vitest';
import { readMessage } from '../../server/messages/form.js';
import { GAPS } from '../../server/messages/gaps.js';
import type { OpenMoment } from '../../server/messages/moment.js';
import type { StartWalk } from '../../server/messages/start-texts.js';
import { offeredStarts, type StartFacts, startText } from '../../server/messages/starts.js';
import { groupSettings } from '../../server/settings/rules.js';
import { weatherWords } from '../../server/weather/model.js';

const forecast = { temperatureCelsius: 35, humidity: 55, windMetresPerSecond: 2, at: Date.UTC(2026, 11, 4, 22) };
const weather = weatherWords(forecast, 'America/New_York', groupSettings.parse({}), '911');

const WALK: StartWalk = {
  title: '8-mile walk: Quarry Lakes loop, Lantern Hills',
  gather: 'Sat, Dec 5, 2026, 8:45 AM EST',
  setOff: '9:00 AM EST',
  back: '11:10 AM and 1:20 PM EST',
  place: 'Weir car park, by the green ticket machine',
  point: '41.30000, -85.10000',
  length: '8.2 miles',
  leader: 'Lena Marsh, +1 202 555 0110',
  emergencyNumber: '911',
  next: ['Sat, Dec 12, 2026, 8:45 AM EST: 5-mile walk: Ridge, Lantern Hills\nhttps://walks.example/walks/9'],
};
const DAYS_BEFORE: OpenMoment = { audience: 'everyone', notBack: true, isDay: false, hasSetOff: false };
const MOMENTS: Record<string, [OpenMoment, string[]]> = {
  'days before': [DAYS_BEFORE, ['weather', 'meeting', 'parking']],
  'on the morning': [{ ...DAYS_BEFORE, isDay: true }, ['weather', 'meeting', 'parking', 'late']],
  gathered: [{ ...DAYS_BEFORE, audience: 'confirmed', isDay: true }, ['late']],
  'under way': [{ audience: 'confirmed', notBack: true, isDay: true, hasSetOff: true }, ['late', 'thanks', 'photos']],
  afterwards: [{ audience: 'confirmed', notBack: false, isDay: false, hasSetOff: true }, ['thanks', 'photos']],
};
const facts = (moment: OpenMoment, changed: Partial<StartFacts> = {}): StartFacts => ({ moment, walk: WALK, weather, ...changed });

describe('start texts', () => {
  it.each(Object.entries(MOMENTS))('%s are those that have something to tell', (_, [moment, names]) => {
    expect(offeredStarts(facts(moment)).map((one) => one.name)).toEqual(names);
    for (const name of ['weather', 'meeting', 'parking', 'late', 'thanks', 'photos'])
      expect([name, startText(name, facts(moment)).text !== '']).toEqual([name, names.includes(name)]);
  });

  it('each can be sent once its gaps are filled, and not before', () => {
    for (const [moment, names] of Object.values(MOMENTS))
      for (const name of names) {
        const { subject, text } = startText(name, facts(moment));
        const filled = Object.values(GAPS).reduce((words, gap) => words.replaceAll(gap, '10'), text);
        expect(readMessage({ subject, text: filled })).toHaveProperty('form');
        expect('faults' in readMessage({ subject, text })).toBe(filled !== text);
        expect(filled).not.toMatch(/[[\]]|undefined|null/);
      }
  });

  it('of the weather has the figures and what to do in it', () => {
    const { subject, text } = startText('weather', facts(DAYS_BEFORE));
    expect(subject).toBe(weather.headline);
    expect(text.replace(/\u00a0/g, ' ')).toMatch(
      /^Hot: feels like 10\d °F, Danger\.\nThe forecast as of Fri, Dec 4, 5:00 PM EST: 95 °F, humidity 55%/,
    );
    for (const line of weather.advice) expect(text).toContain(line);
  });

  it('of the meeting has when with its zone, where, how long, and whom to ring', () => {
    const { text } = startText('meeting', facts(DAYS_BEFORE));
    for (const words of [WALK.gather, WALK.setOff, WALK.back, WALK.place, WALK.point ?? '', WALK.length, WALK.leader])
      expect(text).toContain(words);
    expect(startText('meeting', facts(DAYS_BEFORE, { walk: { ...WALK, point: null } })).text).not.toContain('Map point');
  });

  it('of being late asks to wait before the walk sets off, and tells of the return afterwards', () => {
    const [before] = MOMENTS.gathered ?? [];
    const [after] = MOMENTS['under way'] ?? [];
    expect(before && startText('late', facts(before)).text).toContain(`[how many] minutes late. Please wait at ${WALK.place}`);
    expect(after && startText('late', facts(after)).text).toContain(`back between ${WALK.back}`);
  });

  it('of thanks has the next walks nearby, where there are any', () => {
    const [moment = DAYS_BEFORE] = MOMENTS.afterwards ?? [];
    expect(startText('thanks', facts(moment)).text).toContain(`The next walks nearby:\n${WALK.next[0]}`);
    expect(startText('thanks', facts(moment, { walk: { ...WALK, next: [] } })).text).not.toContain('nearby');
  });

  it('of photos keeps to what people said about being shown', () => {
    const [moment = DAYS_BEFORE] = MOMENTS.afterwards ?? [];
    const { text } = startText('photos', facts(moment));
    expect(text).toContain('Some people asked not to be shown.');
    expect(text).toContain('never a picture of children without the yes of their guardian');
  });

  it.each(['', 'unknown', '__proto__', 'constructor', 'weather'])('%j where there is nothing to tell is empty', (name) => {
    expect(startText(name, facts(DAYS_BEFORE, { weather: null }))).toEqual({ subject: '', text: '' });
  });
});
