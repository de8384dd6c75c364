import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { notices, walks } from '../../server/db/schema/index.js';
import { keepSignUp } from '../../server/signups/store.js';
import { openSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { signUpForm } from '../support/sign-up.js';
import { WALK_FIELDS } from '../support/walk-fields.js';

async function opened() {
  const site = await openSite();
  const cast = layCast(site);
  const walk = () => site.db.q.select().from(walks).where(eq(walks.id, cast.walkId)).get();
  const edit = `/lead/walks/${cast.walkId}/edit`;
  return { site, cast, walk, edit, leader: cast.browser('leader'), coLeader: cast.browser('co-leader') };
}

/** The edit form as it stands, with some fields changed, posted. */
async function send(browser: Browser, path: string, changed: Record<string, string>) {
  const fields = formFields((await browser.get(path)).text);
  return browser.post(path, { ...fields, intent: 'save', ...changed });
}

describe('posting a walk', () => {
  const FIELDS = { ...WALK_FIELDS, surface: ['gravel', 'steps'] };

  it('answers with the walk, and puts it on the timetable; a draft stays off it', async () => {
    const { leader, cast } = await opened();
    const posted = await leader.post('/lead/walks/new', { ...FIELDS, intent: 'post' });
    expect(posted.status).toBe(303);
    expect(posted.headers.location).toMatch(/^\/lead\/walks\/\d+$/);
    const draft = await leader.post('/lead/walks/new', { ...FIELDS, routeName: 'Secret dell', intent: 'draft' });
    const timetable = (await cast.browser('nobody').get('/')).text;
    expect(timetable).toContain('Ridge round');
    expect(timetable).not.toContain('Secret dell');
    expect((await leader.get(draft.headers.location ?? '')).text).toContain('Draft: nobody sees it yet');
  });

  it('twice by a double click makes one walk', async () => {
    const { leader } = await opened();
    const first = await leader.post('/lead/walks/new', { ...FIELDS, intent: 'post' });
    const second = await leader.post('/lead/walks/new', { ...FIELDS, intent: 'post' });
    expect(second.headers.location).toBe(first.headers.location);
  });

  it('keeps every typed value where one needs mending', async () => {
    const { leader } = await opened();
    const answer = await leader.post('/lead/walks/new', { ...FIELDS, distance: 'about twelve', bring: 'Hat\nWater', intent: 'post' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('value="about twelve"');
    expect(answer.text).toContain('Hat\nWater');
    expect(answer.text).toMatch(/value="steps" checked/);
  });

  it('asks which of two hours is meant where clocks go back, and no more once told', async () => {
    const { leader, site } = await opened();
    site.clock.now = Date.UTC(2026, 9, 15);
    const night = { ...FIELDS, date: '2026-11-01', gather: '01:30', setOff: '03:00', intent: 'post' };
    const asked = await leader.post('/lead/walks/new', night);
    expect(asked.status).toBe(422);
    expect(asked.text).toMatch(/name="offset" value="-04:00"[\s\S]*name="offset" value="-05:00"/);
    expect((await leader.post('/lead/walks/new', { ...night, offset: '-05:00' })).status).toBe(303);
  });

  it('copies another to a new date with all the rest as it was', async () => {
    const { leader, cast } = await opened();
    const form = formFields((await leader.get(`/lead/walks/new?copy=${cast.walkId}&date=2026-12-12`)).text);
    expect(form).toMatchObject({
      date: '2026-12-12',
      routeName: 'Quarry Lakes loop',
      landmark: 'by the green ticket machine',
      distance: '8.2',
    });
  });
});

describe('editing a walk', () => {
  it('shows the difference and who will be told, saves nothing, and then saves from there', async () => {
    const { site, cast, walk, edit, leader } = await opened();
    site.services.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm()));
    const preview = await send(leader, edit, { intent: 'preview', meetingPoint: 'North gate' });
    expect(preview.status).toBe(200);
    expect(preview.text).toMatch(/Weir car park[\s\S]*North gate/);
    expect(preview.text).toContain('ana@walkers.example');
    expect(walk()?.meetingPoint).toBe('Weir car park');
    const saved = await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect(saved.status).toBe(303);
    expect(walk()).toMatchObject({ meetingPoint: 'North gate', moved: 'Moved: now North gate', version: 2, sequence: 1 });
    expect(walk()?.distanceMetres).toBe(13_197);
  });

  it('that has set off keeps its date, by a posted form, too; a draft that lies in the past can be moved', async () => {
    const { site, cast, walk, edit, leader } = await opened();
    site.clock.now = walk()?.setOffAt ?? 0;
    const refused = await send(leader, edit, { date: '2027-01-16', routeName: 'Quite another' });
    expect([refused.status, walk()?.wallDate, walk()?.routeName]).toEqual([422, '2026-12-05', 'Quarry Lakes loop']);
    expect(refused.text).toContain('This walk has set off. Copy it to another date instead.');
    expect((await send(leader, edit, { routeName: 'Quarry Lakes round' })).status).toBe(303);
    expect((await send(leader, `/lead/walks/${cast.draftId}/edit`, { date: '2027-01-16' })).status).toBe(303);
  });

  it('by two leaders at once overwrites nothing: the second is told what changed', async () => {
    const { walk, edit, leader, coLeader } = await opened();
    const mine = formFields((await leader.get(edit)).text);
    await send(coLeader, edit, { meetingPoint: 'North gate' });
    const answer = await leader.post(edit, { ...mine, intent: 'save', bring: 'Hat' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Coe Lindgren saved this walk while you were editing');
    expect(walk()).toMatchObject({ meetingPoint: 'North gate', bring: 'Water' });
    const merged = formFields(answer.text);
    expect(merged).toMatchObject({ meetingPoint: 'North gate', bring: 'Hat' });
    expect((await leader.post(edit, { ...merged, intent: 'save' })).status).toBe(303);
    expect(walk()).toMatchObject({ meetingPoint: 'North gate', bring: 'Hat' });
  });

  it('without saying which version it was opened at overwrites nothing', async () => {
    const { walk, edit, leader } = await opened();
    const { version: _, ...fields } = formFields((await leader.get(edit)).text);
    expect((await leader.post(edit, { ...fields, intent: 'save', bring: 'Hat' })).status).toBe(422);
    expect(walk()?.bring).toBe('Water');
  });

  it('warns where the meeting point changes and its map point does not', async () => {
    const { edit, leader } = await opened();
    expect((await send(leader, edit, { intent: 'preview', meetingPoint: 'North gate' })).text).toContain('its map point does not');
    expect((await send(leader, edit, { intent: 'preview', meetingPoint: 'North gate', lat: '41.4' })).text).not.toContain(
      'its map point does not',
    );
  });

  it('a discarded draft stays private: no page, and nobody else can copy it', async () => {
    const { cast, leader } = await opened();
    const draft = `/lead/walks/${cast.draftId}`;
    expect((await leader.post(`${draft}/cancel`, { kind: 'other', reason: 'Draft discarded' })).status).toBe(303);
    const other = cast.browser('other leader');
    expect((await other.get(draft)).status).toBe(404);
    expect((await other.get(`/lead/walks/new?copy=${cast.draftId}`)).text).not.toContain('Ridge in progress');
    expect((await cast.browser('nobody').get(`/walks/${cast.draftId}`)).status).toBe(404);
  });

  it('cannot be done once cancelled, and a second cancel changes nothing', async () => {
    const { site, cast, walk, edit, leader } = await opened();
    site.services.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm()));
    const cancel = `/lead/walks/${cast.walkId}/cancel`;
    expect((await leader.post(cancel, { kind: 'safety', reason: '' })).status).toBe(422);
    expect((await leader.post(cancel, { kind: 'safety', reason: 'Storm warning' })).status).toBe(303);
    expect((await leader.post(cancel, { kind: 'other', reason: 'Again' })).status).toBe(303);
    expect(walk()).toMatchObject({ state: 'cancelled', cancelKind: 'safety', cancelReason: 'Storm warning', sequence: 1 });
    expect((await leader.get(edit)).status).toBe(409);
    expect(site.db.q.select().from(notices).where(eq(notices.kind, 'cancellation')).all()).toHaveLength(1);
    const page = await cast.browser('nobody').get(`/walks/${cast.walkId}`);
    expect(page.text).toContain('This walk is cancelled');
    expect(page.text).toContain('schema.org/EventCancelled');
  });

  it('raising the places lets those who wait in, in the same breath', async () => {
    const { site, cast, edit, leader } = await opened();
    await send(leader, edit, { capacity: '1' });
    site.services.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, signUpForm()));
    site.services.db.write((tx) =>
      keepSignUp(tx, site.services, cast.walkId, signUpForm({ email: 'bea@walkers.example', name: 'Bea Birch' })),
    );
    await send(leader, edit, { capacity: '2' });
    expect(site.db.q.select().from(notices).where(eq(notices.kind, 'place-freed')).all()).toHaveLength(1);
  });
});
