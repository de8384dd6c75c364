import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { forecasts } from '../../server/db/schema/index.js';
import { saveSettings } from '../../server/settings/store.js';
import { cancelWalk, saveEdit } from '../../server/walks/save.js';
import { openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast, walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';

const TYPED = { temperature: '94', humidity: '50', wind: '5' };
const HOUR = 60 * 60 * 1000;
const GATHER = Date.UTC(2026, 11, 5, 13, 45);

let site: TestSite;
let cast: Cast;
let path: string;
beforeEach(async () => {
  site = await openSite();
  cast = layCast(site);
  path = `/lead/walks/${cast.walkId}/weather`;
});

const plain = (text: string) => text.replace(/\u00a0/g, ' ');
const publicPage = async () => plain((await cast.browser('nobody').get(`/walks/${cast.walkId}`)).text);
const kept = () => site.db.q.select().from(forecasts).where(eq(forecasts.walkId, cast.walkId)).get();
const move = (date: string) => {
  const edit = { walkId: cast.walkId, opened: 1, facts: walkFacts({ date }), by: cast.ids.leader, tell: false, post: false };
  expect(saveEdit(site.services, edit)).toBe('saved');
};

describe('typing in the forecast', () => {
  it('puts what it means on the pages of the walk', async () => {
    expect(await publicPage()).not.toContain('Forecast for the walk');
    const browser = cast.browser('co-leader');
    await browser.get(path);
    const answer = await browser.post(path, TYPED);
    expect([answer.status, answer.headers.location]).toEqual([303, `/lead/walks/${cast.walkId}?saved=1`]);
    expect(kept()).toMatchObject({ wallDate: '2026-12-05', humidity: 50, byPersonId: cast.ids['co-leader'], at: site.clock.now });
    for (const page of [await publicPage(), plain((await browser.get(`/lead/walks/${cast.walkId}`)).text)]) {
      expect(page).toContain('<section class="note danger"');
      expect(page).toContain('Hot: feels like 103 °F, Danger');
      expect(page).toContain('Forecast for the walk: 94 °F, humidity 50%, wind 5 mph.');
      expect(page).toContain('In an emergency call 911 first');
    }
    expect(formFields((await browser.get(path)).text)).toMatchObject(TYPED);
  });

  it('takes the place of the one before', async () => {
    const browser = cast.browser('leader');
    await browser.post(path, TYPED);
    site.clock.now += HOUR;
    await browser.post(path, { ...TYPED, temperature: '60' });
    expect(kept()?.at).toBe(site.clock.now);
    expect(await publicPage()).toContain('Mild: 60 °F');
  });

  it('is refused with what was typed where it is none', async () => {
    const answer = await cast.browser('leader').post(path, { ...TYPED, temperature: 'hot', wind: '500' });
    expect(answer.status).toBe(422);
    expect(answer.text).toMatch(/<title>Error: /);
    expect(answer.text).toContain('href="#temperature">Temperature: Type a figure in °F, such as 72.');
    expect(answer.text).toContain('href="#wind">Wind: Type 0 to 120 mph.');
    expect(formFields(answer.text)).toMatchObject({ temperature: 'hot', humidity: '50', wind: '500' });
    expect(kept()).toBeUndefined();
  });

  it("asks in the group's units", async () => {
    site.db.write((tx) => saveSettings(tx, { units: 'km' }));
    const browser = cast.browser('leader');
    expect((await browser.get(path)).text).toMatch(/Temperature, °C[\s\S]*Wind, km\/h/);
    await browser.post(path, { temperature: '-5', humidity: '60', wind: '16' });
    expect(await publicPage()).toContain('Cold: wind chill −11 °C at set-off');
    expect(await publicPage()).not.toMatch(/°F|mph/);
  });
});

describe('a walk that moves', () => {
  it('has no forecast any more, and its page says so to a form that was open meanwhile', async () => {
    site.clock.now += 24 * HOUR;
    const browser = cast.browser('leader');
    const fields = formFields((await browser.get(path)).text);
    await browser.post(path, TYPED);
    move('2026-12-06');
    expect(await publicPage()).not.toContain('feels like');
    expect(formFields((await browser.get(path)).text)).toMatchObject({ temperature: '', date: '2026-12-06' });
    const late = await browser.post(path, { ...fields, ...TYPED });
    expect(late.status).toBe(422);
    expect(late.text).toContain('Temperature: The walk moved to Sun, Dec 6, 2026');
  });

  it('and comes back has it again', async () => {
    await cast.browser('leader').post(path, TYPED);
    move('2026-12-06');
    const back = { walkId: cast.walkId, opened: 2, facts: walkFacts(), by: cast.ids.leader, tell: false, post: false };
    expect(saveEdit(site.services, back)).toBe('saved');
    expect(await publicPage()).toContain('feels like');
  });
});

it('a forecast can be taken back, from the page and from the reminder that waits', async () => {
  await cast.browser('leader').post(path, TYPED);
  expect(await publicPage()).toContain('feels like');
  expect((await cast.browser('leader').get(path)).text).toContain('value="remove"');
  expect((await cast.browser('leader').post(path, { intent: 'remove' })).status).toBe(303);
  expect(await publicPage()).not.toContain('feels like');
  expect((await cast.browser('leader').get(path)).text).not.toContain('value="remove"');
});

describe('when a forecast is of use', () => {
  const status = async () => {
    const browser = cast.browser('leader');
    const shown = await browser.get(path);
    const posted = await browser.post(path, TYPED);
    return [shown.status, posted.status, /<h1[^>]*>([^<]*)/.exec(shown.text)?.[1]];
  };

  it('is until gathering, and says so where it is more than two days off', async () => {
    site.clock.now = GATHER - 48 * 60 * 60_000 - 1;
    expect((await cast.browser('leader').get(path)).text).toContain('more than two days off');
    site.clock.now += 1;
    expect((await cast.browser('leader').get(path)).text).not.toContain('more than two days off');
    site.clock.now = GATHER - 1;
    expect((await status()).slice(0, 2)).toEqual([200, 303]);
    site.clock.now = GATHER;
    expect(await status()).toEqual([409, 409, 'This walk has begun or is over']);
  });

  it('is never for a draft or a cancelled walk', async () => {
    path = `/lead/walks/${cast.draftId}/weather`;
    expect(await status()).toEqual([409, 409, 'This walk is not posted yet']);
    path = `/lead/walks/${cast.walkId}/weather`;
    cancelWalk(site.services, cast.walkId, cast.ids.leader, { kind: 'safety', reason: 'Storm' });
    expect(await status()).toEqual([409, 409, 'This walk is cancelled']);
  });

  it('warns that one typed earlier than two days before may change', async () => {
    const warns = async () => (await cast.browser('leader').get(path)).text.includes('more than two days off');
    site.clock.now = GATHER - 48 * HOUR - 1;
    expect(await warns()).toBe(true);
    site.clock.now += 1;
    expect(await warns()).toBe(false);
  });
});
