import { join } from 'node:path';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { seasonPlan } from '../../server/calc/plan.js';
import { withEdits } from '../../server/calc/plan-edits.js';
import { ROOT } from '../../server/config.js';
import { axisFor } from '../../server/plan/axis.js';
import { planChart } from '../../server/plan/chart.js';
import { startWords } from '../../server/plan/words.js';
import { width } from '../../server/strip/text.js';
import { Views } from '../../server/web/render.js';
import { anyWish, miles, wish } from '../calc/plans.js';

const views = new Views(join(ROOT, 'views'));
const plan = seasonPlan(wish());
const chart = planChart(plan, { locale: 'en-US' });
const html = views.render('parts/plan-chart', { chart });

describe('the drawing of a plan', () => {
  it('has a bar for each walk, to scale and in a row with its week', () => {
    expect([chart.saturdays.length, chart.shortSaturdays.length, chart.sundays.length, chart.weekdays.length]).toEqual([10, 5, 9, 32]);
    // 43 miles are 220 units.
    expect(chart.saturdays.map(({ width: wide }) => wide)).toEqual([48.6, 51.2, 53.7, 58.8, 64, 69.1, 74.2, 79.3, 87, 94.7]);
    const peak = chart.saturdays[9];
    expect(chart.sundays[6]).toMatchObject({ x: (peak?.x ?? 0) + (peak?.width ?? 0), y: peak?.y });
    expect(chart.totals.map(({ words }) => words).slice(10, 13)).toEqual(['38', '28.5', '43']);
  });

  it('tells lighter weeks, the longest walk, the taper and the event by shape and thickness', () => {
    expect(chart.openMarks.match(/l-6 9Z/g)).toHaveLength(3);
    expect(chart.openMarks.match(/l12-6Z/g)).toHaveLength(2);
    expect(chart.solidMarks.match(/l-7-11Z|l?-7-11Z/g)).toHaveLength(1);
    expect(chart.solidMarks.match(/h-12Z/g)).toHaveLength(1);
    expect(new Set(chart.saturdays.map(({ height }) => height))).toEqual(new Set([14]));
    expect(new Set(chart.shortSaturdays.map(({ height }) => height))).toEqual(new Set([8]));
    expect(html).toContain('fill="url(#plan-hatch)"');
  });

  it("has an axis in the group's unit, and dates as its country writes them", () => {
    expect(chart.gridLabels.map(({ words }) => words)).toEqual(['0', '10', '20', '30', '40 mi']);
    expect(chart.dates.map(({ words }) => words).slice(0, 2)).toEqual(['Feb 22', 'Mar 1']);
    const metric = planChart(seasonPlan(wish({ units: 'km', dayMetres: 35_000 })), { locale: 'en-GB' });
    expect(metric.gridLabels.at(-1)?.words).toMatch(/^\d+ km$/);
    expect(metric.dates[1]?.words).toBe('1 Mar');
    expect(metric.event.words).toBe('event: 2 × 35 km');
    expect(planChart(seasonPlan(wish({ eventDays: 1 })), { locale: 'en-US' }).event.words).toBe('event: 22 mi');
  });

  it('has a title and a description for whoever does not see it', () => {
    expect(html).toMatch(/<svg[^>]* role="img" aria-labelledby="plan-title plan-text"/);
    expect(html).toContain('<title id="plan-title">The season, week by week: walks from Feb 22 to the event on Jun 12</title>');
    expect(/<desc id="plan-text">(.*?)<\/desc>/.exec(html)?.[1]).toBe(
      '16 weeks, 370.5 mi in all. Before the first walk, be able to walk 9 mi with ease. Weeks 4, 8 and 12 are lighter. ' +
        'The longest walk is 18.5 mi, in week 13. After the longest walk&#x27;s week, 2 weeks have shorter walks; the event is in week 16.',
    );
  });

  it('says what its parts mean, and no part that it has not', () => {
    expect(chart.caption[0]).toBe(
      "Each bar is one week's walks; solid: the long Saturday; hatched: Sunday; open: weekday walks. On the right, the week's miles.",
    );
    const bare = planChart(seasonPlan(wish({ eventDays: 1, weekdayWalks: 0, units: 'km', dayMetres: 30_000 })), { locale: 'en-GB' });
    expect(bare.caption[0]).toBe("Each bar is one week's walks; solid: the long Saturday. On the right, the week's kilometres.");
  });

  it('has no style or script of its own, and nothing that is not a number, whatever the plan', () => {
    fc.assert(
      fc.property(anyWish, (one) => {
        const drawn = planChart(seasonPlan(one), { locale: 'en-US' });
        const sent = views.render('parts/plan-chart', { chart: drawn });
        expect(sent).not.toMatch(/style=|<script|NaN|undefined|Infinity/);
        expect(Buffer.byteLength(sent)).toBeLessThan(25_000);
        for (const bar of [...drawn.saturdays, ...drawn.shortSaturdays, ...drawn.sundays, ...drawn.weekdays]) {
          expect(bar.width).toBeGreaterThan(0);
          expect(bar.x + bar.width).toBeLessThanOrEqual(326.05);
          expect(bar.y + bar.height).toBeLessThan(drawn.height);
        }
        // The event's words end before the week's total.
        const total = drawn.totals.at(-1)?.words ?? '';
        expect(drawn.event.x + width(drawn.event.words, 'bold', 14.5)).toBeLessThan(368 - width(total, 'bold', 14.5));
        // Dates end before the marks.
        for (const { x, words } of drawn.dates) expect(x + width(words, 'plain', 14.5)).toBeLessThan(86);
      }),
      { numRuns: 60 },
    );
  });

  it('can be drawn of a plan in which every walk was dropped', () => {
    const none = plan.weeks.map(({ number }) => ({ week: number, weekday: [], saturday: null, sunday: null }));
    const drawn = planChart(withEdits(plan, none).plan, { locale: 'en-US' });
    expect(drawn.totals.every(({ words }) => words === '0')).toBe(true);
    expect(views.render('parts/plan-chart', { chart: drawn })).not.toMatch(/NaN|undefined|Infinity/);
    expect(views.render('parts/plan-chart', {}).trim()).toBe('');
  });
});

it('an axis has a line at every round figure up to the longest, five at most', () => {
  const figures = (length: number) => axisFor(miles(length), 'mi', { from: 0, to: 100 }).ticks.map(({ words }) => words);
  expect(figures(5)).toEqual(['0', '1', '2', '3', '4', '5 mi']);
  expect(figures(5.5)).toEqual(['0', '2', '4 mi']);
  expect(figures(25)).toEqual(['0', '5', '10', '15', '20', '25 mi']);
  expect(figures(600)).toEqual(['0', '120', '240', '360', '480', '600 mi']);
});

describe('the start in words', () => {
  it('says that few weeks ask for much, over half of a day of the event', () => {
    // Twelve weeks start at 10.5 miles, eleven at 11.5: half a day is 11.
    expect(startWords(seasonPlan(wish({ weeks: 12 })))).toBe('Before the first walk, be able to walk 10.5 mi with ease.');
    expect(startWords(seasonPlan(wish({ weeks: 11 })))).toBe(
      'Before the first walk, be able to walk 11.5 mi with ease. That is far: 11 weeks are few for 22 mi a day. More weeks would start shorter.',
    );
  });

  it('and not where the event itself is short', () => {
    expect(startWords(seasonPlan(wish({ weeks: 8, dayMetres: miles(5) })))).toBe(
      'Before the first walk, be able to walk 3.25 mi with ease.',
    );
  });
});
