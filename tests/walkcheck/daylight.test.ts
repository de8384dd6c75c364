import { describe, expect, it } from 'vitest';
import { sun } from '../../server/calc/sun.js';
import { instants } from '../../server/calc/zone.js';
import { finishTimes } from '../../server/walks/finish.js';
import { walkFacts } from '../support/cast.js';
import { AROUND, check, FAULTLESS, found, keys, MINUTE_MS } from './around.js';

const DAY = '2027-04-17';
const NEW_YORK = sun(41.3, -85.1, DAY, 'America/New_York');
const minuteOf = (at: number | null) => Math.floor((at ?? Number.NaN) / MINUTE_MS) * MINUTE_MS;

/** The faultless walk, set off so that its slowest are back at an instant. */
function backAt(at: number, rest: { explained?: Record<string, string> } = {}) {
  const facts = walkFacts(FAULTLESS);
  const onFoot = finishTimes(facts, AROUND.settings).slowest - facts.setOffAt;
  return check({ setOffAt: at - onFoot, gatherAt: at - onFoot - 15 * MINUTE_MS, ...rest });
}

describe('the slowest back after sunset', () => {
  it('the minute of sunset is fine, the next asks to think', () => {
    expect(keys(backAt(minuteOf(NEW_YORK.set)))).toEqual([]);
    const late = backAt(minuteOf(NEW_YORK.set) + MINUTE_MS);
    expect(late).toMatchObject([{ key: 'sunset', kind: 'think', explain: false }]);
    expect(late[0]?.title).toMatch(/^The slowest are back at 8:\d\d PM EDT, 1 minute after sunset at 8:\d\d PM EDT$/u);
  });

  it('the minute of dusk still asks to think, the next must be mended or explained', () => {
    expect(backAt(minuteOf(NEW_YORK.dusk))).toMatchObject([{ key: 'sunset', kind: 'think' }]);
    expect(backAt(minuteOf(NEW_YORK.dusk) + MINUTE_MS)).toMatchObject([{ key: 'dusk', kind: 'mend', explain: true, reason: '' }]);
    const explained = backAt(minuteOf(NEW_YORK.dusk) + 90 * MINUTE_MS, { explained: { dusk: 'A moonlight walk: bring a lamp' } });
    expect(explained).toMatchObject([{ key: 'dusk', reason: 'A moonlight walk: bring a lamp' }]);
    expect(explained[0]?.mends).toContain('Set off 1 h 30 min earlier');
  });

  it('past midnight says which day', () => {
    const late = backAt(instants('2027-04-18', '00:30', 'America/New_York')[0] ?? 0);
    expect(late[0]).toMatchObject({ key: 'dusk' });
    expect(late[0]?.title).toMatch(/Sun, Apr 18, 12:30/);
  });
});

describe('gathering before dawn', () => {
  const gather = (at: number) => check({ gatherAt: at, setOffAt: at + 15 * MINUTE_MS });

  it('the minute of civil dawn is fine, the one before must be mended or explained', () => {
    expect(keys(gather(minuteOf(NEW_YORK.dawn)))).toEqual([]);
    const early = gather(minuteOf(NEW_YORK.dawn) - MINUTE_MS);
    expect(early).toMatchObject([{ key: 'dawn', kind: 'mend', explain: true, href: 'gather' }]);
    expect(early[0]?.mends).toContain('Gather 1 minute later');
  });
});

describe('where the sun stays up, or down', () => {
  const north = (date: string, gather: string, setOff: string) =>
    check(
      { date, gather, setOff, zone: 'Europe/Oslo', lat: 69.65, lon: 18.96, seenOn: date },
      { now: Date.parse(`${date}T00:00:00Z`) - 864e5 },
    );

  it('the midnight sun finds nothing, at any hour', () => {
    expect(keys(north('2027-06-21', '22:45', '23:00'))).toEqual([]);
    expect(keys(north('2027-06-21', '01:45', '02:00'))).toEqual([]);
  });

  it('the polar night has twilight at noon: think in it, mend outside it', () => {
    const noon = north('2026-12-21', '10:15', '10:30');
    expect(noon).toMatchObject([{ key: 'sunset', kind: 'think' }]);
    expect(noon[0]?.title).toContain('The sun does not rise that day: there is twilight until');
    expect(keys(north('2026-12-21', '07:00', '07:15'))).toContain('dawn');
    expect(keys(north('2026-12-21', '13:00', '13:15'))).toEqual(['dusk']);
  });

  it('further north it is dark all day', () => {
    const dark = check(
      { date: '2026-12-21', zone: 'Arctic/Longyearbyen', lat: 78.22, lon: 15.65, seenOn: '2026-12-20' },
      { now: Date.UTC(2026, 11, 20), area: { ...AROUND.area, name: 'North Fjord' } },
    );
    expect(dark).toMatchObject([{ key: 'dusk', kind: 'mend', explain: true, title: 'It is dark all day in North Fjord on that date' }]);
  });

  it('nights that never get dark ask to think after sunset, no more', () => {
    const helsinki = { date: '2027-06-21', zone: 'Europe/Helsinki', lat: 65.0, lon: 25.5, seenOn: '2027-06-20' };
    const bright = check({ ...helsinki, gather: '23:15', setOff: '23:30' }, { now: Date.UTC(2027, 5, 20) });
    expect(keys(bright)).toEqual(['sunset']);
    expect(bright[0]?.why).toContain('does not get quite dark');
  });
});

describe('evenings that end after midnight', () => {
  const alaska = (gather: string, setOff: string, lat: number, lon: number) =>
    check(
      { date: '2027-06-21', zone: 'America/Anchorage', lat, lon, gather, setOff, seenOn: '2027-06-20' },
      { now: Date.UTC(2027, 5, 19), area: { ...AROUND.area, lat, lon } },
    );
  const fairbanks = (gather: string, setOff: string) => alaska(gather, setOff, 64.84, -147.72);
  const kodiak = (gather: string, setOff: string) => alaska(gather, setOff, 57.79, -152.41);

  it("the last evening's sunset and dusk, past midnight, say nothing about the day", () => {
    expect(keys(fairbanks('08:45', '09:00'))).toEqual([]);
    expect(keys(kodiak('08:45', '09:00'))).toEqual([]);
  });

  it('this evening is told by the sunset and the dusk that end it', () => {
    expect(keys(fairbanks('22:15', '22:30'))).toEqual([]);
    expect(keys(fairbanks('23:15', '23:30'))).toEqual(['sunset']);
    expect(keys(kodiak('22:00', '22:15'))).toEqual(['sunset']);
    expect(keys(kodiak('23:45', '23:59'))).toEqual(['dusk']);
  });
});

describe('the place of the sun', () => {
  it('is the one the check uses', () => {
    const far = { lat: 69.65, lon: 18.96, zone: 'Europe/Oslo', date: '2026-12-21', seenOn: '2026-12-20' };
    const now = Date.UTC(2026, 11, 20);
    expect(found('sunset', { ...far, gather: '10:15', setOff: '10:30' }, { now })).toBeDefined();
    expect(found('sunset', { ...far, lat: 41.3, lon: 10, gather: '10:15', setOff: '10:30' }, { now })).toBeUndefined();
  });
});
