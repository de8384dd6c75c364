import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { performance } from 'node:perf_hooks';
import { describe, expect, test } from 'vitest';
import { ROOT } from '../../server/config.js';
import { routeMap } from '../../server/strip/map.js';
import { routeStrip } from '../../server/strip/strip.js';
import { STOP_KINDS } from '../../server/walks/stops.js';
import { around, at, miles, stopAt, stripWalk, svgOf, views } from './walks.js';
import { circle } from './ways.js';

/** As much as a walk can hold: 160 km, a height every step, thirty stops that offer everything and have long names, six short ways. */
function fullest() {
  const distanceMetres = 160_000;
  const stops = Array.from({ length: 30 }, (_, index) => {
    const metres = (index + 1) * 5200;
    const short = index % 5 === 3 ? { rejoins: Math.min(metres + 30_000, distanceMetres), length: 120_000 } : null;
    return stopAt(metres, {
      kinds: [...STOP_KINDS],
      name: `Where ${'a long lane meets another '.repeat(3)}`.slice(0, 80),
      minutes: 10,
      short,
    });
  });
  const elevations = Array.from({ length: 600 }, (_, index) => 300 + 200 * Math.sin(index / 9) + (index % 5));
  const walk = stripWalk({ distanceMetres, ascentMetres: 4000, stops });
  return { walk, around: around({ profile: { stepMetres: 267, elevations }, sunset: at('16:30'), dusk: at('17:00') }) };
}

describe('the strip as sent', () => {
  test('stays under 20 kB with as many stops and short ways as the form takes', () => {
    const { walk, around } = fullest();
    const strip = routeStrip(walk, around);
    expect(walk.stops.filter(({ short }) => short)).toHaveLength(6);
    expect(Buffer.byteLength(svgOf(views.render('parts/strip', { strip })))).toBeLessThan(20_000);
  });

  test('has a shape for every kind of stop', () => {
    const marks = readFileSync(join(ROOT, 'views/parts/way-marks.hbs'), 'utf8');
    const drawn = [...marks.matchAll(/<g id="\{\{prefix\}\}-([\w-]+)"/g)].map(([, name]) => name);
    expect(drawn).toEqual(expect.arrayContaining([...STOP_KINDS, 'place']));
  });

  test('escapes what a leader typed', () => {
    const nasty = '<script>"x"&\'</script>';
    const walk = stripWalk({
      meetingPoint: nasty,
      landmark: nasty,
      stops: [stopAt(3000, { name: nasty }), stopAt(9000, { kinds: [], name: nasty })],
    });
    const html = views.render('parts/strip', { strip: routeStrip(walk, around()) });
    expect(html).not.toContain('<script');
    expect(html).toContain('&lt;script&gt;');
    expect(html).not.toMatch(/style=|NaN|undefined|Infinity/);
  });

  test('says everything in words to whoever does not see it', () => {
    const stops = [
      stopAt(miles(2), { kinds: ['toilets'], name: 'Lower lock', minutes: 10 }),
      stopAt(miles(4), { kinds: ['regroup'], short: { rejoins: miles(7), length: miles(5.5) } }),
    ];
    const html = views.render('parts/strip', { strip: routeStrip(stripWalk({ stops, ascentMetres: 0 }), around()) });
    const list = [...html.matchAll(/<li>(.*?)<\/li>/g)].map(([, words]) => words?.replaceAll('\u00a0', ' '));
    expect(html).toMatch(/<svg[^>]* aria-hidden="true"/);
    expect(html).toContain('<ol class="hidden">');
    expect(list).toEqual([
      'Start: Weir car park, by the green ticket machine. Gather 8:45 AM EST, set off 9:00 AM EST.',
      'At 2.0 mi: Toilets, Lower lock. Fastest 9:30 AM EST, slowest 9:48 AM EST. 10 minutes there.',
      'At 4.0 mi: Regroup. Fastest 10:10 AM EST, slowest 10:46 AM EST.',
      'Short way: leaves at 4.0 mi, comes back at 7.0 mi, 5.5 mi in all.',
      'Finish, after 8.0 mi: Weir car park again. Fastest 11:46 AM EST, slowest 12:22 PM EST.',
      'Sunset 4:30 PM EST.',
      'Climb: not said.',
    ]);
  });

  test('is quickly made: the page is asked for often', () => {
    const stops = [2.4, 3.9, 5.3].map((mile) => stopAt(miles(mile), { name: 'Kiln Lane' }));
    const elevations = Array.from({ length: 132 }, (_, index) => 100 + 40 * Math.sin(index / 9));
    const draw = () =>
      views.render('parts/strip', { strip: routeStrip(stripWalk({ stops }), around({ profile: { stepMetres: 100, elevations } })) });
    for (let run = 0; run < 300; run += 1) draw();
    const begun = performance.now();
    for (let run = 0; run < 300; run += 1) draw();
    // Ten times what it takes on a quiet machine.
    expect((performance.now() - begun) / 300).toBeLessThan(3);
  });
});

describe('the map as sent', () => {
  test('stays under 20 kB with 400 vertices and forty stops, and escapes what it shows', () => {
    const stops = Array.from({ length: 40 }, (_, index) => stopAt(300 * (index + 1), { name: '<b>' }));
    const map = routeMap(
      { line: [circle(400)], lineErrorMetres: 5, shape: 'loop' },
      { distanceMetres: miles(8), stops },
      around().settings,
    );
    const html = views.render('parts/route-map', { map });
    expect(Buffer.byteLength(svgOf(html))).toBeLessThan(20_000);
    expect(html).toMatch(/<svg[^>]* aria-hidden="true"/);
    expect(html).not.toMatch(/style=|NaN|undefined|<b>/);
  });

  test('is nothing where there is no line', () => {
    expect(
      views
        .render('parts/route-map', { map: routeMap({ line: [], lineErrorMetres: 5, shape: 'loop' }, stripWalk(), around().settings) })
        .trim(),
    ).toBe('');
    expect(views.render('parts/strip', {}).trim()).toBe('');
  });
});
