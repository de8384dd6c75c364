import { eq } from 'drizzle-orm';
import { describe, expect, it } from 'vitest';
import { notices, walkLeaders, walks } from '../../server/db/schema/index.js';
import { keepSignUp } from '../../server/signups/store.js';
import type { WalkFacts } from '../../server/walks/facts.js';
import { saveEdit, saveNewWalk } from '../../server/walks/save.js';
import { factsOf, walkById } from '../../server/walks/store.js';
import { openSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { layCast, walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { laySeries } from '../support/series.js';
import { signUpForm } from '../support/sign-up.js';

const DATES = ['2026-12-12', '2026-12-19', '2026-12-26'];

async function opened(changed: Partial<WalkFacts> = {}, dates = DATES) {
  const site = await openSite();
  const cast = layCast(site);
  const ids = laySeries(site, cast.ids.leader, dates, { routeName: 'Weir walk', ...changed });
  const [first = 0, second = 0, third = 0] = ids;
  const walk = (id: number) => {
    const row = walkById(site.db.q, id);
    if (!row) throw new Error('gone');
    return row;
  };
  const all = (field: keyof WalkFacts) => ids.map((id) => factsOf(walk(id))[field]);
  const signUp = (id: number, email: string) => site.db.write((tx) => keepSignUp(tx, site.services, id, signUpForm({ email })));
  /** One walk edited on its own. */
  const own = (id: number, change: Partial<WalkFacts>) => {
    const { gatherAt: _, setOffAt: __, ...rest } = factsOf(walk(id));
    const facts = walkFacts({ ...rest, ...change });
    saveEdit(site.services, { walkId: id, opened: walk(id).version, facts, by: cast.ids.leader, tell: false, post: false });
  };
  return {
    site,
    cast,
    ids,
    first,
    second,
    third,
    walk,
    all,
    signUp,
    own,
    edit: `/lead/walks/${first}/edit`,
    leader: cast.browser('leader'),
  };
}

/** The edit form of a walk as it stands, for it and the later ones, with some fields changed, posted. */
async function send(browser: Browser, path: string, changed: Record<string, string>) {
  const fields = formFields((await browser.get(path)).text);
  return browser.post(path, { ...fields, scope: 'later', intent: 'preview', ...changed });
}

const plain = (html: string) => html.replace(/<[^>]*>/g, ' ').replace(/\s+/g, ' ');

describe('editing a walk and the later ones', () => {
  it('is offered where there are later ones, for this one only at first', async () => {
    const { leader, first, third } = await opened();
    const form = (await leader.get(`/lead/walks/${first}/edit`)).text;
    expect(form).toMatch(/name="scope" value="one" checked/);
    expect(plain(form)).toContain('This one and the 2 later ones: Sat, Dec 19 ; Sat, Dec 26'.replace(' ;', ';'));
    expect((await leader.get(`/lead/walks/${third}/edit`)).text).not.toContain('name="scope"');
  });

  it('shows what changes on each and who is told, saves nothing, and then saves all', async () => {
    const { leader, edit, all, signUp, second, third, walk, ids } = await opened();
    signUp(second, 'ana@walkers.example');
    signUp(third, 'ana@walkers.example');
    const preview = await send(leader, edit, { meetingPoint: 'North gate', bring: 'Hat' });
    expect(preview.status).toBe(200);
    const text = plain(preview.text);
    expect(text).toMatch(/Sat, Dec 19, 2026 .*Weir car park.*North gate.*1 signed up, told by mail.*Sat, Dec 26, 2026 .*Weir car park/);
    expect(text).toMatch(/1 person will be told of these walks, one mail each.*ana@walkers.example, 2 of them/);
    expect(all('meetingPoint')).toEqual(['Weir car park', 'Weir car park', 'Weir car park']);
    const saved = await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect(saved.status).toBe(303);
    expect(all('meetingPoint')).toEqual(['North gate', 'North gate', 'North gate']);
    expect(all('bring')).toEqual(['Hat', 'Hat', 'Hat']);
    expect(ids.map((id) => walk(id).sequence)).toEqual([1, 1, 1]);
  });

  it('counts whoever is signed up for several of the walks once', async () => {
    const { site, leader, edit, signUp, first, second, third } = await opened();
    for (const id of [first, second]) signUp(id, 'ana@walkers.example');
    signUp(first, 'bo@walkers.example');
    signUp(third, 'cy@walkers.example');
    // Whoever still waits for a first mail reads it there.
    site.db.write((tx) => tx.update(notices).set({ state: 'sent' }).where(eq(notices.state, 'pending')).run());
    const text = plain((await send(leader, edit, { meetingPoint: 'North gate' })).text);
    expect(text).toContain('3 people will be told of these walks and this one, one mail each.');
  });

  it('leaves alone what a later walk has of its own, and says so', async () => {
    const { leader, edit, all, own, second } = await opened();
    own(second, { meetingPoint: 'South gate' });
    const preview = await send(leader, edit, { meetingPoint: 'North gate', bring: 'Hat' });
    expect(plain(preview.text)).toMatch(/Sat, Dec 19, 2026 Stays It keeps its own meeting point/);
    await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect(all('meetingPoint')).toEqual(['North gate', 'South gate', 'North gate']);
    expect(all('bring')).toEqual(['Hat', 'Hat', 'Hat']);
  });

  it('says at the top that there is a series, on its last walk too', async () => {
    const { leader, first, third } = await opened();
    for (const id of [first, third]) expect((await leader.get(`/lead/walks/${id}/edit`)).text).toContain('One of a series of 3.');
    const { leader: other, first: alone } = await opened({}, ['2026-12-12']);
    expect((await other.get(`/lead/walks/${alone}/edit`)).text).not.toContain('One of a series');
  });

  it('with "this one only" changes this one', async () => {
    const { leader, edit, all } = await opened();
    expect((await send(leader, edit, { scope: 'one', intent: 'save', bring: 'Hat' })).status).toBe(303);
    expect(all('bring')).toEqual(['Hat', 'Water', 'Water']);
  });

  it('"save now" shows the later walks first', async () => {
    const { leader, edit, all } = await opened();
    const answer = await send(leader, edit, { intent: 'save', bring: 'Hat' });
    expect([answer.status, answer.text.includes('The later walks of the series')]).toEqual([200, true]);
    expect(all('bring')).toEqual(['Water', 'Water', 'Water']);
  });

  it('"change it again" gives back what was typed, the choice too', async () => {
    const { leader, edit } = await opened();
    const preview = await send(leader, edit, { bring: 'Hat' });
    const form = await leader.post(edit, { ...formFields(preview.text), intent: 'change' });
    expect(formFields(form.text)).toMatchObject({ scope: 'later', bring: 'Hat' });
  });

  it('saves nothing where a later walk changed meanwhile, and shows it anew', async () => {
    const { leader, edit, all, own, third } = await opened();
    const preview = await send(leader, edit, { meetingPoint: 'North gate' });
    own(third, { meetingPoint: 'South gate' });
    const answer = await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect([answer.status, answer.text.includes('a later walk changed since you looked')]).toEqual([422, true]);
    expect(all('meetingPoint')).toEqual(['Weir car park', 'Weir car park', 'South gate']);
    expect((await leader.post(edit, { ...formFields(answer.text), intent: 'save' })).status).toBe(303);
    expect(all('meetingPoint')).toEqual(['North gate', 'North gate', 'South gate']);
  });

  it('saves nothing where the walk itself changed meanwhile', async () => {
    const { leader, edit, all, own, first } = await opened();
    const preview = await send(leader, edit, { meetingPoint: 'North gate' });
    own(first, { bring: 'Boots' });
    const answer = await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect([answer.status, answer.text.includes('saved this walk while you were editing')]).toEqual([422, true]);
    expect(all('meetingPoint')).toEqual(['Weir car park', 'Weir car park', 'Weir car park']);
  });

  it('moves the later dates with a change of the weekday, the clock on the wall kept over a change of the clocks', async () => {
    const { leader, edit, all, walk, third } = await opened({}, ['2027-02-27', '2027-03-06', '2027-03-13']);
    const preview = await send(leader, edit, { date: '2027-02-28' });
    await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect(all('date')).toEqual(['2027-02-28', '2027-03-07', '2027-03-14']);
    expect(new Date(walk(third).gatherAt).toISOString()).toBe('2027-03-14T12:45:00.000Z');
  });

  it('refuses an hour that the clocks skip with the date, and keeps what was typed', async () => {
    const { leader, edit, all } = await opened({}, ['2027-03-07', '2027-03-14']);
    const answer = await send(leader, edit, { gather: '02:30', setOff: '03:30', 'explain[dawn]': 'To see the sun rise' });
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('Sun, Mar 14, 2027: the clocks go forward over 02:30');
    expect(formFields(answer.text)).toMatchObject({ gather: '02:30', scope: 'later' });
    expect(all('gather').slice(0, 2)).toEqual(['08:45', '08:45']);
  });

  it('refuses what would have to be mended on a later walk, with the date', async () => {
    // Light until nine in June, and dark by six in December.
    const { leader, edit, all } = await opened({}, ['2026-11-28', '2027-06-05']);
    const late = await opened({}, ['2027-06-05', '2027-10-30']);
    const answer = await send(late.leader, late.edit, { gather: '15:45', setOff: '16:00' });
    expect(answer.status).toBe(422);
    expect(answer.text).toMatch(/Sat, Oct 30, 2027: there is something to mend: The slowest are back at/);
    expect(late.all('gather').slice(0, 2)).toEqual(['08:45', '08:45']);
    expect((await send(leader, edit, { gather: '09:45', setOff: '10:00' })).status).toBe(200);
    expect(all('gather')[0]).toBe('08:45');
  });

  it('leaves walks that someone else leads', async () => {
    const { site, cast, leader, edit, all, second } = await opened();
    site.db.write((tx) => tx.update(walkLeaders).set({ personId: cast.ids['other leader'] }).where(eq(walkLeaders.walkId, second)).run());
    const preview = await send(leader, edit, { bring: 'Hat' });
    expect(plain(preview.text)).toMatch(/Sat, Dec 19, 2026 Someone else leads it/);
    await leader.post(edit, { ...formFields(preview.text), intent: 'save' });
    expect(all('bring')).toEqual(['Hat', 'Water', 'Hat']);
  });

  it('tells what need not be told on later walks where it is ticked, though nobody is on this one', async () => {
    const { site, leader, edit, signUp, second } = await opened();
    signUp(second, 'ana@walkers.example');
    const preview = await send(leader, edit, { bring: 'Hat' });
    const fields = formFields(preview.text);
    expect(preview.text).toContain('name="tell"');
    await leader.post(edit, { ...fields, intent: 'save', tell: 'yes' });
    const change = site.db.q.select().from(notices).where(eq(notices.kind, 'change')).all();
    // Their confirmation has not gone yet, and says it.
    expect(change).toEqual([]);
    expect(
      site.db.q
        .select()
        .from(notices)
        .all()
        .map((row) => row.version),
    ).toEqual([2]);
  });
});

describe('cancelling a walk and the later ones', () => {
  const fields = { kind: 'safety', reason: 'The weir is closed' };

  it('cancels all for one reason, or this one only', async () => {
    const { leader, ids, walk, first } = await opened();
    const form = formFields((await leader.get(`/lead/walks/${first}/cancel`)).text);
    expect((await leader.post(`/lead/walks/${first}/cancel`, { ...form, ...fields, scope: 'later' })).status).toBe(303);
    expect(ids.map((id) => [walk(id).state, walk(id).cancelReason])).toEqual(Array(3).fill(['cancelled', fields.reason]));
    const other = await opened();
    const page = formFields((await other.leader.get(`/lead/walks/${other.first}/cancel`)).text);
    await other.leader.post(`/lead/walks/${other.first}/cancel`, { ...page, ...fields });
    expect(other.ids.map((id) => other.walk(id).state)).toEqual(['cancelled', 'posted', 'posted']);
  });

  it('cancels nothing where a later one changed since, and says so', async () => {
    const { leader, ids, walk, first, second, own } = await opened();
    const path = `/lead/walks/${first}/cancel`;
    const form = formFields((await leader.get(path)).text);
    own(second, { bring: 'Boots' });
    const answer = await leader.post(path, { ...form, ...fields, scope: 'later' });
    expect([answer.status, answer.text.includes('Nothing is cancelled yet')]).toEqual([422, true]);
    expect(formFields(answer.text)).toMatchObject({ scope: 'later', reason: fields.reason });
    expect(ids.map((id) => walk(id).state)).toEqual(['posted', 'posted', 'posted']);
    expect((await leader.post(path, { ...formFields(answer.text) })).status).toBe(303);
    expect(ids.map((id) => walk(id).state)).toEqual(['cancelled', 'cancelled', 'cancelled']);
  });

  it('sent again from an old tab changes nothing', async () => {
    const { leader, ids, walk, first } = await opened();
    const path = `/lead/walks/${first}/cancel`;
    const form = { ...formFields((await leader.get(path)).text), ...fields, scope: 'later' };
    await leader.post(path, form);
    const versions = ids.map((id) => walk(id).version);
    expect((await leader.post(path, form)).status).toBe(303);
    expect(ids.map((id) => walk(id).version)).toEqual(versions);
  });
});

describe('a draft edited with posted walks after it', () => {
  it.each([
    ['meetingPoint', 'meeting point'],
    ['landmark', 'landmark'],
  ] as const)('may lose its %s alone: the posted ones must say it, and each that would not is named', async (field, label) => {
    const { site, cast, all, leader } = await opened({}, DATES.slice(1));
    const draft = saveNewWalk(site.services, walkFacts({ routeName: 'Weir walk', date: '2026-12-12' }), cast.ids.leader, 'draft');
    site.db.write((tx) => tx.update(walks).set({ seriesId: 1 }).where(eq(walks.id, draft)).run());
    const refused = await send(leader, `/lead/walks/${draft}/edit`, { [field]: '' });
    expect(refused.status).toBe(422);
    expect(plain(refused.text)).toContain(`Sat, Dec 19, 2026: it is posted, so its ${label} cannot be empty. Edit that walk on its own`);
    const saved = await send(leader, `/lead/walks/${draft}/edit`, { [field]: '', intent: 'save', [`later[w${draft}]`]: '1' });
    expect([saved.status, all(field).includes('')]).toEqual([422, false]);
    const alone = await send(leader, `/lead/walks/${draft}/edit`, { [field]: '', scope: 'this', intent: 'save' });
    expect(alone.status).toBe(303);
  });
});
