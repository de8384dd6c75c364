import { describe, expect, it } from 'vitest';
import { standingNotes, walks } from '../../server/db/schema/index.js';
import { addNote, MOST_NOTES } from '../../server/standing/store.js';
import { openSite } from '../support/app.js';
import { layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { WALK_FIELDS } from '../support/walk-fields.js';

const PARKING = { title: 'Parking', body: 'Park at the weir.', goesInto: 'directions' as const };
const LONG = { title: 'Long', body: 'x'.repeat(999), goesInto: 'bring' as const };

async function opened(...notes: (typeof PARKING | typeof LONG)[]) {
  const site = await openSite();
  const cast = layCast(site);
  site.db.write((tx) => {
    for (const note of notes) addNote(tx, cast.ids.leader, note, site.clock.now);
  });
  const kept = () => site.db.q.select().from(standingNotes).all();
  return { site, cast, kept, leader: cast.browser('leader') };
}

describe('the page of standing notes', () => {
  it('keeps a note, once however often it is sent, and lists by title', async () => {
    const { leader, kept } = await opened();
    expect((await leader.get('/lead/notes')).text).toContain('You keep no note yet');
    for (const title of ['Water', 'Parking', 'Parking']) expect((await leader.post('/lead/notes', { ...PARKING, title })).status).toBe(303);
    expect(kept()).toHaveLength(2);
    expect((await leader.get('/lead/notes')).text).toMatch(/Parking<\/b>[\s\S]*Water<\/b>/);
  });

  it('refuses with a sentence beside each field, and keeps what was typed', async () => {
    const { leader, kept } = await opened();
    const answer = await leader.post('/lead/notes', { title: '', body: 'x'.repeat(2001), goesInto: 'elsewhere' });
    expect(answer.status).toBe(422);
    for (const words of ['Give the note a title', 'it has 2,001', 'Choose where in the walk it goes', '3 things']) {
      if (words === '3 things') expect(answer.text).toContain('Three things to mend');
      else expect(answer.text).toContain(words);
    }
    expect(formFields(answer.text).body).toHaveLength(2001);
    expect(kept()).toEqual([]);
    expect((await leader.post('/lead/notes', { ...PARKING, title: 'x'.repeat(80), body: 'x'.repeat(2000) })).status).toBe(303);
    expect((await leader.post('/lead/notes', { ...PARKING, title: 'x'.repeat(81) })).status).toBe(422);
  });

  it('changes and deletes the own, and no one else’s', async () => {
    const { leader, cast, kept } = await opened(PARKING);
    const other = cast.browser('other leader');
    expect((await other.get('/lead/notes/1')).status).toBe(404);
    expect((await other.post('/lead/notes/1', { ...PARKING, body: 'Mine', intent: 'save' })).status).toBe(404);
    await other.post('/lead/notes/1', { intent: 'delete' });
    expect(kept()).toMatchObject([PARKING]);
    expect((await leader.post('/lead/notes/1', { ...PARKING, body: 'By the oak', intent: 'save' })).status).toBe(303);
    expect(kept()).toMatchObject([{ body: 'By the oak' }]);
    expect((await leader.post('/lead/notes/1', { ...PARKING, body: '', intent: 'save' })).status).toBe(422);
    for (let time = 0; time < 2; time += 1) expect((await leader.post('/lead/notes/1', { intent: 'delete' })).status).toBe(303);
    expect(kept()).toEqual([]);
  });

  it(`keeps ${MOST_NOTES} at most`, async () => {
    const { site, cast, leader } = await opened();
    site.db.write((tx) => {
      for (let count = 1; count < MOST_NOTES; count += 1) addNote(tx, cast.ids.leader, { ...PARKING, title: `n${count}` }, site.clock.now);
    });
    expect((await leader.post('/lead/notes', { ...PARKING, title: 'last' })).status).toBe(303);
    expect((await leader.post('/lead/notes', { ...PARKING, title: 'one more' })).status).toBe(422);
  });
});

it('a note kept, changed or deleted is named on the list', async () => {
  const { leader } = await opened();
  const after = async (path: string, fields: Record<string, string>) =>
    (await leader.get((await leader.post(path, fields)).headers.location ?? '')).text;
  for (const _ of [1, 2]) expect(await after('/lead/notes', PARKING)).toMatch(/<b>Saved:<\/b> Parking/);
  expect(await after('/lead/notes/1', { ...PARKING, title: 'The weir' })).toMatch(/<b>Saved:<\/b> The weir/);
  expect(await after('/lead/notes/1', { intent: 'delete' })).toContain('<b>Deleted.</b>');
  expect((await leader.get('/lead/notes?saved=1')).text).not.toContain('Saved:');
});

describe('notes on the walk form', () => {
  const post = { ...WALK_FIELDS, directions: 'Left', intent: 'post' };

  it('shows a tick for each of the own, with its first words, on a new walk and an edit', async () => {
    const { leader, cast } = await opened(PARKING);
    for (const path of ['/lead/walks/new', `/lead/walks/${cast.walkId}/edit`])
      expect((await leader.get(path)).text).toMatch(/name="note" value="1">[\s\S]*Parking[\s\S]*Park at the weir/);
    expect((await cast.browser('other leader').get('/lead/walks/new')).text).not.toContain('name="note"');
  });

  it('puts a ticked one in when the walk is posted', async () => {
    const { leader, site } = await opened(PARKING);
    await leader.post('/lead/walks/new', { ...post, note: '1' });
    expect(site.db.q.select().from(walks).all().at(-1)?.directions).toBe('Left\nPark at the weir.');
  });

  it('puts it in on a button, a check and a refusal, its tick gone, and not twice', async () => {
    const { leader, site } = await opened(PARKING);
    for (const changed of [{ intent: 'notes' }, { intent: 'check' }, { intent: 'stop' }, { intent: 'post', distance: 'far' }]) {
      const { text } = await leader.post('/lead/walks/new', { ...post, note: '1', ...changed });
      expect(formFields(text)).toMatchObject({ directions: 'Left\nPark at the weir.' });
      expect(text).not.toMatch(/name="note" value="1" checked/);
      await leader.post('/lead/walks/new', { ...post, directions: 'Left\nPark at the weir.', note: '1', routeName: changed.intent });
      expect(site.db.q.select().from(walks).all().at(-1)?.directions).toBe('Left\nPark at the weir.');
    }
  });

  it('that does not fit is a fault beside its field, and nothing is lost', async () => {
    const { leader, site } = await opened(PARKING, LONG);
    const before = site.db.q.select().from(walks).all().length;
    for (const intent of ['post', 'notes', 'check']) {
      const { status, text } = await leader.post('/lead/walks/new', { ...post, bring: 'Hat', note: ['2', '1'], intent });
      expect([intent, status]).toEqual([intent, 422]);
      expect(text).toMatch(/With &quot;Long&quot; this would have 1,003 characters/);
      expect(formFields(text)).toMatchObject({ bring: 'Hat', directions: 'Left\nPark at the weir.', note: '2' });
    }
    expect(site.db.q.select().from(walks).all()).toHaveLength(before);
  });

  it('is in the preview of an edit and saved from there', async () => {
    const { leader, cast, site } = await opened(PARKING);
    const edit = `/lead/walks/${cast.walkId}/edit`;
    const fields = formFields((await leader.get(edit)).text);
    const preview = await leader.post(edit, { ...fields, note: '1', intent: 'preview' });
    await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect(site.db.q.select().from(walks).all()[0]?.directions).toBe('Park at the weir.');
  });
});
