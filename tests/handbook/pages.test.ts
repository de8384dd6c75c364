import { describe, expect, it } from 'vitest';
import { heatCategory } from '../../server/calc/heat.js';
import { METRES_PER_MILE } from '../../server/calc/measure.js';
import { CLOSED_AT_LATEST_MS } from '../../server/contacts/window.js';
import { handbookFigures, withFigures } from '../../server/handbook/figures.js';
import { HANDBOOK, handbookPage } from '../../server/handbook/pages.js';
import { DAY_MS, holdOf, isUrgent } from '../../server/notices/due.js';
import { SAMPLE_QUESTIONS } from '../../server/quiz/samples.js';
import { groupSettings } from '../../server/settings/rules.js';
import { saveSettings } from '../../server/settings/store.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { check } from '../walkcheck/around.js';

const SETTINGS = groupSettings.parse({ groupName: 'Harrow Fells Walkers' });

/** A page's words, without its marks. */
function words(slug: string): string {
  const page = handbookPage(slug);
  if (!page) throw new Error(`no page ${slug}`);
  return withFigures(page.html, handbookFigures(SETTINGS, SETTINGS.noticeHoldMs))
    .replace(/<[^>]+>/g, '')
    .replace(/\s+/g, ' ');
}

describe('the pages of the handbook', () => {
  it('are there in their order, under the names that addresses and questions use', () => {
    expect(HANDBOOK.map((page) => page.slug)).toEqual([
      'planning-a-route',
      'posting-a-walk',
      'inviting-people',
      'the-day',
      'safety-and-first-response',
      'hydration-and-heat',
      'after-the-walk',
    ]);
  });

  it.each(HANDBOOK.map((page) => [page.slug, page] as const))(
    '%s has a title, a lead, headings, sources, and 300 to 600 words',
    (slug, page) => {
      expect(page.title).toMatch(/^[A-Z][\w ]+$/);
      expect(page.lead).toMatch(/^[A-Z][^#*[\]]+\.$/);
      expect(page.html).toMatch(/<h2>/);
      expect(page.html).not.toMatch(/<h[13-6]>/);
      expect(page.html).toMatch(/<em>Sources: [^<]+<\/em><\/p>\s*$/);
      const count = `${page.title} ${page.lead} ${words(slug)}`.split(/\s+/).length;
      expect(count).toBeGreaterThanOrEqual(300);
      expect(count).toBeLessThanOrEqual(600);
      expect(page.minutes).toBeGreaterThanOrEqual(2);
      expect(page.minutes).toBeLessThanOrEqual(3);
    },
  );

  it('lead to addresses that are there for anyone', async () => {
    const site = await openSite();
    const nobody = layCast(site).browser('nobody');
    const links = new Set(HANDBOOK.flatMap((page) => [...page.html.matchAll(/href="([^"]*)"/g)].map((found) => found[1] ?? '')));
    expect(links.size).toBeGreaterThan(3);
    for (const link of links) expect([link, link.startsWith('/') && (await nobody.get(link)).status]).toEqual([link, 200]);
  });

  it.each(['safety-and-first-response', 'hydration-and-heat'])('%s calls first, and defers to those who know', (slug) => {
    expect(words(slug)).toMatch(/call the emergency number/i);
    expect(words(slug)).toContain('This is not a first-aid course');
    expect(`${handbookPage(slug)?.lead} ${words(slug)}`).toMatch(/local rules/i);
    expect(words(slug)).toMatch(/doctor/);
    expect(words(slug)).toMatch(/emergency services/);
  });
});

describe('the figures of the handbook', () => {
  it('on stops are those of the walk check', () => {
    expect(words('planning-a-route')).toContain('every 3 to 5 miles');
    expect(words('planning-a-route')).toContain('More than 5 miles (8 km) between two of them');
    const apart = (miles: number) =>
      check({ distanceMetres: Math.floor(miles * METRES_PER_MILE), stops: [] }).some((item) => item.key === 'toilets');
    expect([apart(5), apart(5.01)]).toEqual([false, true]);
  });

  it('on heat are where the categories begin', () => {
    for (const [figure, name] of [
      [80, 'Caution'],
      [90, 'Extreme Caution'],
      [103, 'Danger'],
      [125, 'Extreme Danger'],
    ] as const) {
      expect(words('hydration-and-heat')).toContain(`${figure} °F (${Math.round((figure - 32) / 1.8)} °C), ${name}.`);
      expect([heatCategory(figure), heatCategory(figure - 1)]).toEqual([name, heatCategory(figure - 0.01)]);
      expect(heatCategory(figure - 0.01)).not.toBe(name);
    }
  });

  /** Source: consensus on exercise-associated hyponatremia, 2015; US CDC on heat exhaustion and heat stroke. */
  it('on drinking and heat illness are the published ones', () => {
    const text = words('hydration-and-heat');
    expect(text).toContain('Drink to thirst');
    expect(text).toContain('more than 4 hours');
    expect(text).toContain('more than about 1.5 litres an hour');
    expect(text).toContain('not better within an hour');
    expect(text).toMatch(/Heat stroke: an emergency .* Call the emergency number first\. Then cool the person.* Give nothing to drink\./);
  });

  it('on notices are those of the outbox', () => {
    expect(words('posting-a-walk')).toContain('It waits 3 minutes for further edits');
    expect(words('posting-a-walk')).toContain('Within 24 hours of gathering nothing waits');
    expect(holdOf({ noticeHoldMs: undefined }, SETTINGS)).toBe(3 * 60_000);
    expect([isUrgent(0, [DAY_MS]), isUrgent(0, [DAY_MS + 1]), DAY_MS]).toEqual([true, false, 24 * 3_600_000]);
  });

  it('that the group may change are those it has set', async () => {
    expect(words('after-the-walk')).toContain(`closed ${CLOSED_AT_LATEST_MS / 3_600_000} hours after gathering`);
    const site = await openSite({ NOTICE_HOLD: '60' });
    const nobody = layCast(site).browser('nobody');
    const set = { contactsFromHours: 31, contactsUntilHours: 1, contactsKeptDays: 17, slowPace: 26, units: 'mi' as const };
    site.db.write((tx) => saveSettings(tx, set));
    const text = async (slug: string) => (await nobody.get(`/handbook/${slug}`)).text;
    expect(await text('the-day')).toContain('open 31 hours before gathering');
    expect(await text('safety-and-first-response')).toContain('until 1 hour after the walk is closed');
    expect(await text('after-the-walk')).toContain('removed after 17 days');
    expect(await text('planning-a-route')).toContain('26 min a mile');
    expect(await text('posting-a-walk')).toContain('It waits 1 minute for');
    for (const { slug } of HANDBOOK) expect(await text(slug)).not.toMatch(/[{}]/);
    expect(() => withFigures('{nothing}', {})).toThrow(/nothing/);
  });

  it('that the group may change are in no question of the bank', () => {
    const changeable = Object.values(handbookFigures(SETTINGS, SETTINGS.noticeHoldMs));
    const text = JSON.stringify(SAMPLE_QUESTIONS);
    expect(changeable.filter((figure) => text.includes(figure))).toEqual([]);
  });
});
