import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { leaders, walks } from '../../server/db/schema/index.js';
import { GRACE_MS } from '../../server/joining/renewal.js';
import { standDown } from '../../server/leaders/store.js';
import { NOON } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { formFields } from '../support/fields.js';
import { WALK_FIELDS } from '../support/walk-fields.js';
import { DAY, type Joining, openJoining } from './stage.js';

const DUE = NOON + 5 * DAY;

let stage: Joining;
let leader: Browser;
beforeEach(async () => {
  stage = await openJoining();
  leader = stage.cast.browser('leader');
  dueAt(DUE);
});

function dueAt(at: number): void {
  const { db } = stage.site;
  db.write((tx) => tx.update(leaders).set({ agreementDueAt: at }).where(eq(leaders.personId, stage.cast.ids.leader)).run());
}

const stateOf = (id: number | string) =>
  stage.site.db.q
    .select()
    .from(walks)
    .where(eq(walks.id, Number(id)))
    .get();

async function post(at: number, fields: Record<string, string> = {}) {
  stage.site.clock.now = at;
  const answer = await leader.post('/lead/walks/new', { ...WALK_FIELDS, intent: 'post', ...fields });
  const id = String(answer.headers.location).split('/').at(-1) ?? '';
  return { status: answer.status, id, text: answer.text };
}

describe('posting a new walk', () => {
  it('is open to the last millisecond before the agreement is due, and closed from that instant', async () => {
    expect(stateOf((await post(DUE - 1)).id)?.state).toBe('posted');
    const { id, status } = await post(DUE, { routeName: 'Mill round' });
    expect([status, stateOf(id)?.state]).toEqual([303, 'draft']);
  });

  it('where it is closed keeps all that was typed as a draft, says so and which step is left, and posts it once signed', async () => {
    const { id } = await post(DUE);
    const { text } = await leader.get(`/lead/walks/${id}`);
    expect(text).toContain('This walk is kept as a draft: one step is left.');
    expect(text).toContain('href="/lead/join/agreement"');
    const kept = formFields((await leader.get(`/lead/walks/${id}/edit`)).text);
    for (const field of ['routeName', 'locality', 'date', 'gather', 'meetingPoint', 'landmark', 'directions', 'bring', 'distance'])
      expect([field, kept[field]]).toEqual([field, WALK_FIELDS[field]]);
    expect((await post(DUE)).id).toBe(id);
    await stage.sign('leader', 'Lena Marsh');
    expect((await leader.get(`/lead/walks/${id}`)).text).not.toContain('one step is left');
    const answer = await leader.post(`/lead/walks/${id}/edit`, { ...kept, intent: 'post', walkCheck: '' });
    expect([answer.status, stateOf(id)?.state]).toEqual([303, 'posted']);
  });

  it('is told beforehand on the pages where walks are posted', async () => {
    for (const path of ['/lead', '/lead/walks/new'])
      expect((await leader.get(path)).text).toContain('Please sign the leader&#x27;s agreement'.replace('&#x27;', "'"));
    stage.site.clock.now = DUE;
    for (const path of ['/lead', '/lead/walks/new']) expect((await leader.get(path)).text).toContain('Posting is closed until you sign');
  });
});

describe('a draft', () => {
  const edit = async (visitor: 'leader' | 'co-leader' | 'coordinator', at: number, fields: Record<string, string> = {}) => {
    stage.site.clock.now = at;
    const { draftId } = stage.cast;
    const version = String(stateOf(draftId)?.version);
    const answer = await stage.cast
      .browser(visitor)
      .post(`/lead/walks/${draftId}/edit`, { ...WALK_FIELDS, version, intent: 'post', ...fields });
    return [answer.status, stateOf(draftId)?.state, stateOf(draftId)?.routeName];
  };

  it('becomes public to the last millisecond before, and is saved as a draft from then on, whoever posts it for its leader', async () => {
    expect(await edit('leader', DUE)).toEqual([303, 'draft', 'Ridge round']);
    expect(await edit('co-leader', DUE, { routeName: 'Weir round' })).toEqual([303, 'draft', 'Weir round']);
    expect(await edit('coordinator', DUE, { routeName: 'Hill round' })).toEqual([303, 'draft', 'Hill round']);
    expect(await edit('leader', DUE - 1)).toEqual([303, 'posted', 'Ridge round']);
  });

  it('is written and changed as ever', async () => {
    expect((await post(DUE, { intent: 'draft' })).status).toBe(303);
    expect(await edit('leader', DUE, { intent: 'save' })).toEqual([303, 'draft', 'Ridge round']);
  });

  it('of someone who was stood down is not posted', async () => {
    stage.site.db.write((tx) => standDown(tx, stage.cast.ids.leader, stage.cast.ids.coordinator, NOON));
    expect(await edit('coordinator', NOON)).toEqual([303, 'draft', 'Ridge round']);
  });
});

it('what is posted already goes on: edited, led, and cancelled', async () => {
  stage.site.clock.now = DUE;
  const { walkId } = stage.cast;
  const answer = await leader.post(`/lead/walks/${walkId}/edit`, { ...WALK_FIELDS, date: '2026-12-06', version: '1', intent: 'save' });
  expect([answer.status, stateOf(walkId)?.state, stateOf(walkId)?.routeName]).toEqual([303, 'posted', 'Ridge round']);
  expect((await leader.get(`/lead/walks/${walkId}/pack`)).status).toBe(200);
  expect((await leader.post(`/lead/walks/${walkId}/cancel`, { kind: 'other', reason: 'Ill' })).status).toBe(303);
});

it('whom a coordinator brings in may post for 30 days; who comes back keeps a later day', async () => {
  const bring = (email: string) =>
    stage.cast
      .browser('coordinator')
      .post('/coordinate/leaders', { name: 'Lena Marsh', email, phone: '(202) 555-0199', area: 'lantern-hills', pledge: '1' });
  await bring('leader@waymeet.example');
  expect(stage.dueAt('leader')).toBe(NOON + GRACE_MS);
  dueAt(NOON + 200 * DAY);
  await bring('leader@waymeet.example');
  expect(stage.dueAt('leader')).toBe(NOON + 200 * DAY);
});
