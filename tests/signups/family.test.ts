import { asc } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { emergencyContacts, partyMembers, signUps, waivers } from '../../server/db/schema/index.js';
import { saveEdit, saveNewWalk } from '../../server/walks/save.js';
import { walkById } from '../../server/walks/store.js';
import type { Browser } from '../support/browser.js';
import { walkFacts } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { opened, party } from './opened.js';

const EMAIL = 'ana@walkers.example';

/** Ana and Ben with Kit and Kay, who are under 18. */
function family(changed: Record<string, string> = {}): Record<string, string> {
  return {
    ...party(EMAIL, 'Ana Ferreira', 'Ben Birch', 'Kit Ferreira', 'Kay Birch'),
    'members[2][minor]': 'yes',
    'members[2][guardian]': '0',
    'members[2][signature]': 'Ana Ferreira',
    'members[3][minor]': 'yes',
    'members[3][guardian]': '1',
    'members[3][signature]': 'Ben Birch',
    ...changed,
  };
}

let stage: Awaited<ReturnType<typeof opened>>;
let at: string;
let nobody: Browser;
beforeEach(async () => {
  stage = await opened();
  nobody = stage.nobody;
  const walkId = saveNewWalk(stage.site.services, walkFacts({ routeName: 'Duck pond', minors: true }), stage.cast.ids.leader, 'posted');
  at = `/walks/${walkId}/sign-up`;
});

const members = () => stage.site.db.q.select().from(partyMembers).orderBy(asc(partyMembers.id)).all();
const signed = () =>
  stage.site.db.q
    .select()
    .from(waivers)
    .orderBy(asc(waivers.id))
    .all()
    .map((row) => `${row.signerName} ${row.signedAs === 'self' ? 'for self' : `for ${row.forName}`}`);

describe('a family signs up', () => {
  it('with a guardian and a signature for each child', async () => {
    const answer = await nobody.post(at, family());
    expect(answer.status).toBe(303);
    const [ana, ben, kit, kay] = members();
    expect([kit?.minor, kit?.guardianId, kay?.minor, kay?.guardianId]).toEqual([true, ana?.id, true, ben?.id]);
    expect(signed()).toEqual(['Ana Ferreira for self', 'Ben Birch for self', 'Ana Ferreira for Kit Ferreira', 'Ben Birch for Kay Birch']);
    const page = (await nobody.get(answer.headers.location ?? '')).text;
    expect(page).toContain('under 18, with Ana Ferreira');
    expect(page.match(/waiver signed/g)).toHaveLength(4);
  });

  it.each([
    [
      'a child without a guardian',
      { 'members[2][guardian]': '' },
      'members-2-guardian',
      'Choose the adult of your party who stays with Kit',
    ],
    ['a child as guardian', { 'members[2][guardian]': '3' }, 'members-2-guardian', 'Choose the adult of your party'],
    [
      'the child signing',
      { 'members[2][signature]': 'Kit Ferreira' },
      'members-2-signature',
      'Ana Ferreira signs for Kit Ferreira: type Ana',
    ],
    ['the other adult signing', { 'members[2][signature]': 'Ben Birch' }, 'members-2-signature', 'Ana Ferreira signs for Kit Ferreira'],
    ['no signature for a child', { 'members[3][signature]': '' }, 'members-3-signature', 'Ben Birch signs for Kay Birch'],
    ['someone who is 18 by then', { 'members[2][adultOn]': '2026-12-05' }, 'members-2-minor', 'They are 18 on the day of the walk'],
    ['a day of birth', { 'members[2][adultOn]': '2018-05-04' }, 'members-2-adultOn', 'not the day they were born'],
    ['a day that is none', { 'members[2][adultOn]': '2027-02-30' }, 'members-2-adultOn', 'That date does not exist'],
    ['a birthday in a far year', { 'members[2][adultOn]': '2062-02-03' }, 'members-2-adultOn', 'check the year'],
  ])('not with %s', async (_, changed, field, sentence) => {
    const answer = await nobody.post(at, family(changed));
    expect(answer.status).toBe(422);
    expect(answer.text).toContain(`href="#${field}"`);
    expect(answer.text.replaceAll('&#x27;', "'")).toContain(sentence);
    for (const value of ['Kit Ferreira', 'Kay Birch']) expect(answer.text).toContain(`value="${value}"`);
    expect(members()).toEqual([]);
  });

  it('not children alone, and not on a walk for adults', async () => {
    const alone = { ...family(), 'members[0][minor]': 'yes', 'members[1][minor]': 'yes' };
    expect((await nobody.post(at, alone)).text).toContain('add an adult who comes along');
    const refused = await nobody.post(stage.at, family());
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('This walk is for adults. Leave them out');
  });

  it('with one contact for all, and the note of each', async () => {
    const same = {
      'members[1][sameContact]': 'yes',
      'members[1][contactName]': '',
      'members[1][contactRelation]': '',
      'members[1][contactPhone]': '',
    };
    expect((await nobody.post(at, family(same))).status).toBe(303);
    expect(stage.site.db.q.select().from(emergencyContacts).all()).toHaveLength(4);
    const none = { ...family(same), email: 'b@walkers.example', 'members[0][contactName]': '', 'members[0][contactPhone]': '' };
    const refused = (await nobody.post(at, none)).text;
    expect(refused).toContain('href="#members-1-contactName"');
    expect(refused).not.toContain('href="#members-1-contactPhone"');
  });
});

describe('a family changes', () => {
  async function booked() {
    const own = (await nobody.post(at, family())).headers.location ?? '';
    return { own, form: formFields((await nobody.get(own)).text) as Record<string, string> };
  }

  it('nothing, by saving the form as it stands', async () => {
    const { own, form } = await booked();
    const before = members();
    expect((await nobody.post(own, form)).headers.location).toBe(`${own}?saved=1`);
    expect(members()).toEqual(before);
    expect(signed()).toHaveLength(4);
  });

  it('its guardian: the new one signs, what the old one signed does not hold', async () => {
    const { own, form } = await booked();
    const moved = { ...form, 'members[2][guardian]': '1' };
    expect((await nobody.post(own, moved)).text).toContain('Ben Birch signs for Kit Ferreira');
    const now = { ...moved, 'members[2][signature]': 'Ben Birch', agreeWaiver: 'yes' };
    expect((await nobody.post(own, now)).status).toBe(303);
    expect(signed().at(-1)).toBe('Ben Birch for Kit Ferreira');
  });

  it('by a guardian leaving, who takes the child along: the page says so, and a child cannot be left behind', async () => {
    const { own, form } = await booked();
    const shown = await nobody.post(own, { ...form, removeMember: '1' });
    expect(shown.text).toContain('Also removed: Kay Birch.');
    expect((await nobody.post(own, formFields(shown.text))).status).toBe(303);
    expect(members().map((one) => one.removedAt !== null)).toEqual([false, true, false, true]);
    const { 'members[0][id]': _, ...behind } = form;
    const left = Object.fromEntries(Object.entries(behind).filter(([name]) => !/members\[[013]\]/.test(name)));
    expect((await nobody.post(own, left)).status).toBe(422);
  });

  it('by the walk moving past a birthday: who is 18 then signs for themself', async () => {
    const { site, cast } = stage;
    const own = (await nobody.post(at, family({ 'members[2][adultOn]': '2026-12-10' }))).headers.location ?? '';
    const walkId = Number(/walks\/(\d+)/.exec(at)?.[1]);
    const { gatherAt: _g, setOffAt: _s, ...facts } = walkFacts({ routeName: 'Duck pond', minors: true });
    const moved = walkFacts({ ...facts, date: '2026-12-10' });
    saveEdit(site.services, {
      walkId,
      opened: walkById(site.db.q, walkId)?.version ?? 0,
      facts: moved,
      by: cast.ids.leader,
      tell: false,
      post: false,
    });
    const page = (await nobody.get(own)).text;
    expect(page).toContain('18 on the day of the walk now: signs for themself.');
    expect(page.match(/waiver to sign/g)).toHaveLength(1);
    const form = formFields(page) as Record<string, string>;
    expect((await nobody.post(own, { ...form, 'members[2][signature]': 'Kit Ferreira', agreeWaiver: 'yes' })).status).toBe(303);
    expect(signed().at(-1)).toBe('Kit Ferreira for self');
    expect((await nobody.get(own)).text).not.toContain('waiver to sign');
  });

  it('by withdrawing: everyone goes, and no contact is left', async () => {
    const { own } = await booked();
    await nobody.post(`${own}/withdraw`);
    expect(stage.site.db.q.select().from(emergencyContacts).all()).toEqual([]);
    expect(stage.site.db.q.select({ state: signUps.state }).from(signUps).all()).toEqual([{ state: 'withdrawn' }]);
  });
});
