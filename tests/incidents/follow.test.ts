import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import {
  auditLog,
  emergencyContacts,
  incidentNotes,
  incidents,
  incidentVersions,
  partyMembers,
  people,
  signUps,
  turnedUp,
  turnedUpContacts,
} from '../../server/db/schema/index.js';
import { forgetOnTime } from '../../server/privacy/retention.js';
import { DAY_MS, GATHER, HOUR_MS, incidentFields, type Stage, stage, turnedUpFields } from '../day/care-stage.js';
import { browserOf } from '../support/cast.js';

let on: Stage;
const DURING = GATHER + 2 * HOUR_MS;
const AT = '/coordinate/incidents/1';

/** Something happened to Ana, who signed up. */
beforeEach(async () => {
  on = await stage();
  on.site.clock.now = DURING;
  await on.cast.browser('leader').post(on.path('incidents/new'), incidentFields({ who: on.ana }));
});

const act = (fields: Record<string, string>) => on.cast.browser('coordinator').post(AT, fields);
const row = () => on.site.db.q.select().from(incidents).get();
const contacts = () => on.site.db.q.select().from(emergencyContacts).all().length;
const logged = (action: string) =>
  on.site.db.q
    .select()
    .from(auditLog)
    .all()
    .filter((entry) => entry.action === action);
const forget = async (now: number) => {
  on.site.clock.now = now;
  await forgetOnTime(on.site.services, 0);
};

describe('the queue', () => {
  it('lists what is open by due date, without opening anything', async () => {
    await on.cast.browser('leader').post(on.path('incidents/new'), incidentFields({ postMark: 'the-second-mark-of', called: 'yes' }));
    await on.cast
      .browser('coordinator')
      .post('/coordinate/incidents/2', { intent: 'follow', dueOn: '2026-12-06', assigned: String(on.cast.ids.coordinator) });
    const { text } = await on.cast.browser('coordinator').get('/coordinate/incidents');
    expect(text.indexOf('/coordinate/incidents/2')).toBeLessThan(text.indexOf('/coordinate/incidents/1'));
    for (const words of ['Sun, Dec 6', 'Cora Danner follows it up.', 'Nobody follows it up yet.', 'emergency services called'])
      expect(text).toContain(words);
    for (const words of ['dizzy', 'heat', 'Ana Ferreira']) expect(text).not.toContain(words);
    expect(logged('opened an incident')).toEqual([]);
  });

  it('says late on the day after it was due, and not on the day', async () => {
    const shown = async (now: number) => {
      on.site.clock.now = now;
      return /flag danger">late/.test((await on.cast.browser('coordinator').get('/coordinate/incidents')).text);
    };
    // Due on 8 December, in the group's zone five hours behind UTC.
    expect(await shown(Date.UTC(2026, 11, 9, 5) - 1)).toBe(false);
    expect(await shown(Date.UTC(2026, 11, 9, 5))).toBe(true);
  });
});

describe('an incident', () => {
  it('is read by a button, which is written down', async () => {
    expect((await on.cast.browser('coordinator').get(AT)).text).not.toContain('dizzy');
    const { text, headers } = await act({ intent: 'open' });
    expect(text).toContain('Felt dizzy on the last climb');
    expect(headers['cache-control']).toBe('no-store');
    expect(logged('opened an incident')).toMatchObject([{ personId: on.cast.ids.coordinator }]);
  });

  it('has its person’s contact opened at any time, as following up, and they can see that', async () => {
    on.site.clock.now = GATHER + 20 * DAY_MS;
    const { text } = await act({ intent: 'contact' });
    expect(text).toContain('href="tel:+12025550188"');
    expect(logged('opened emergency details')).toMatchObject([
      { detail: { members: [1], reason: 'incident', why: 'a coordinator follows up what happened on the walk' } },
    ]);
  });

  it('takes a day, a coordinator and notes; refuses others', async () => {
    expect((await act({ intent: 'follow', dueOn: '2026-12-20', assigned: String(on.cast.ids.coordinator) })).status).toBe(303);
    expect(row()).toMatchObject({ dueOn: '2026-12-20', assignedTo: on.cast.ids.coordinator });
    const refused = await act({ intent: 'follow', dueOn: 'soon', assigned: String(on.cast.ids.leader) });
    expect(refused.status).toBe(422);
    for (const words of ['Type the day', 'Choose a coordinator, or nobody yet.', 'value="soon"']) expect(refused.text).toContain(words);
    expect((await act({ intent: 'note', note: 'Rang her: better.\nShe will see a doctor.' })).status).toBe(303);
    expect(on.site.db.q.select().from(incidentNotes).get()?.noteSealed.toString('latin1')).not.toContain('better');
    expect((await act({ intent: 'open' })).text).toContain('Rang her: better.');
  });

  it('is closed with how it ended, and opened again', async () => {
    expect((await act({ intent: 'close', outcome: 'x' })).status).toBe(422);
    expect((await act({ intent: 'close', outcome: 'recovered', closing: 'All well.' })).status).toBe(303);
    expect(row()).toMatchObject({ state: 'closed', outcome: 'recovered', closedBy: on.cast.ids.coordinator });
    expect((await act({ intent: 'close', outcome: 'none', closing: 'Twice.' })).status).toBe(303);
    expect(row()?.outcome).toBe('recovered');
    expect(on.site.db.q.select().from(incidentNotes).all()).toHaveLength(1);
    await act({ intent: 'reopen' });
    expect(row()).toMatchObject({ state: 'open', outcome: '', closedAt: null });
  });
});

describe('while it is open', () => {
  const CONTACTS_GO = GATHER + 32 * DAY_MS;
  const YEARS = GATHER + 800 * DAY_MS;

  it('the contact of the person concerned stays, and that of nobody else; once closed it goes by the calendar', async () => {
    on.site.db.raw.exec("INSERT INTO party_members (sign_up_id, name) VALUES (1, 'Ben Birch')");
    on.site.db.raw.exec("INSERT INTO emergency_contacts (member_id, sealed, created_at) VALUES (2, x'00', 0)");
    await forget(CONTACTS_GO);
    expect(on.site.db.q.select().from(emergencyContacts).all()).toMatchObject([{ memberId: 1 }]);
    await act({ intent: 'close', outcome: 'recovered' });
    expect(contacts()).toBe(1);
    await forget(CONTACTS_GO);
    expect(contacts()).toBe(0);
  });

  it('the sign-ups of the walk stay, and are emptied once it is closed', async () => {
    await forget(YEARS);
    expect(on.site.db.q.select().from(signUps).get()?.name).toBe('Ana Ferreira');
    await act({ intent: 'close', outcome: 'recovered' });
    await forget(YEARS);
    expect(on.site.db.q.select().from(signUps).get()?.name).toBe('Erased');
  });

  it('somebody who turned up keeps contact and name; both go once it is closed', async () => {
    on.site.clock.now = DURING;
    for (const [key, name] of [
      ['key-of-teo-park', 'Teo Park'],
      ['key-of-mo-lund', 'Mo Lund'],
    ] as const)
      await on.cast.browser('leader').post(on.path('roll/turned-up'), turnedUpFields({ key, name, signature: name }));
    await on.cast
      .browser('leader')
      .post(on.path('incidents/new'), incidentFields({ who: 'tkey-of-teo-park', postMark: 'mark-of-the-other' }));
    await act({ intent: 'close', outcome: 'recovered' });
    await forget(CONTACTS_GO);
    expect(on.site.db.q.select().from(turnedUpContacts).all()).toMatchObject([{ turnedUpId: 1 }]);
    await forget(YEARS);
    expect(
      on.site.db.q
        .select()
        .from(turnedUp)
        .all()
        .map((one) => one.name),
    ).toEqual(['Teo Park', 'Mo Lund']);
    await on.cast.browser('coordinator').post('/coordinate/incidents/2', { intent: 'close', outcome: 'recovered' });
    await forget(YEARS);
    expect(
      on.site.db.q
        .select()
        .from(turnedUp)
        .all()
        .map((one) => one.name),
    ).toEqual(['Erased', 'Erased']);
    expect(on.site.db.q.select().from(turnedUpContacts).all()).toEqual([]);
  });

  it('erasing keeps the sealed contact, says so, and lets it go as it is closed', async () => {
    on.site.clock.now = GATHER + 2 * DAY_MS;
    const person = on.site.db.write((tx) =>
      tx.insert(people).values({ name: 'Ana Ferreira', email: 'ana@walkers.example', createdAt: 0 }).returning().get(),
    );
    const browser = browserOf(on.site, person.id);
    expect((await browser.get('/me/erase')).text).toContain('is still being followed up.');
    expect((await browser.post('/me/erase', { sure: 'yes' })).status).toBe(303);
    expect(on.site.db.q.select().from(partyMembers).where(eq(partyMembers.id, 1)).get()?.name).toBe('Erased');
    expect(contacts()).toBe(1);
    expect((await act({ intent: 'contact' })).text).toContain('href="tel:+12025550188"');
    await act({ intent: 'close', outcome: 'recovered' });
    expect(contacts()).toBe(0);
  });

  it('who turns out to be somebody else lets go of an erased person’s contact at once', async () => {
    const person = on.site.db.write((tx) =>
      tx.insert(people).values({ name: 'Ana Ferreira', email: 'ana@walkers.example', createdAt: 0 }).returning().get(),
    );
    await browserOf(on.site, person.id).post('/me/erase', { sure: 'yes' });
    const write = (who: string) => on.cast.browser('leader').post(on.path('incidents/1'), { ...incidentFields({ who }), intent: 'change' });
    expect((await write(on.ana)).status).toBe(303);
    expect(contacts()).toBe(1);
    expect((await write('else')).status).toBe(303);
    expect(contacts()).toBe(0);
  });

  it('erasing says that what happened to a child who turned up with them is followed up', async () => {
    on.site.clock.now = DURING;
    const post = (fields: Record<string, string>) => on.cast.browser('leader').post(on.path('roll/turned-up'), turnedUpFields(fields));
    await post({ email: 'teo@walkers.example' });
    const child = { name: 'Kit Park', minor: 'yes', signature: 'Teo Park' };
    await post({ ...child, key: 'key-of-kit-park', guardian: 'tkey-of-teo-park' });
    await post({ ...child, key: 'key-of-zoe-park', name: 'Zoe Park', guardian: on.ana, signature: 'Ana Ferreira' });
    const asks = async (email: string) => {
      const person = on.site.db.write((tx) => tx.insert(people).values({ name: 'Somebody', email, createdAt: 0 }).returning().get());
      return (await browserOf(on.site, person.id).get('/me/erase')).text;
    };
    await act({ intent: 'close', outcome: 'recovered' });
    expect(await asks('mo@walkers.example')).not.toContain('followed up');
    for (const [who, email] of [
      ['tkey-of-kit-park', 'teo@walkers.example'],
      ['tkey-of-zoe-park', 'ana@walkers.example'],
    ] as const) {
      await on.cast.browser('leader').post(on.path('incidents/new'), incidentFields({ who, postMark: `mark-of-${who}` }));
      expect(await asks(email)).toContain('is still being followed up.');
    }
  });

  it('erasing says nothing of it once it is closed, and takes the contact', async () => {
    await act({ intent: 'close', outcome: 'none' });
    const person = on.site.db.write((tx) =>
      tx.insert(people).values({ name: 'Ana Ferreira', email: 'ana@walkers.example', createdAt: 0 }).returning().get(),
    );
    const browser = browserOf(on.site, person.id);
    expect((await browser.get('/me/erase')).text).not.toContain('followed up');
    await browser.post('/me/erase', { sure: 'yes' });
    expect(contacts()).toBe(0);
  });
});

it('an incident goes three years after it was closed, record and notes with it; one that is open stays', async () => {
  on.site.clock.now = Date.UTC(2027, 0, 10);
  await act({ intent: 'note', note: 'All well.' });
  await act({ intent: 'close', outcome: 'recovered' });
  await forget(Date.UTC(2030, 0, 10) - 1);
  expect(on.site.db.q.select().from(incidents).all()).toHaveLength(1);
  await forget(Date.UTC(2030, 0, 10));
  for (const table of [incidents, incidentVersions, incidentNotes]) expect(on.site.db.q.select().from(table).all()).toEqual([]);
});

it('whoever turned up with an address is erased by it, with the child whose guardian they are', async () => {
  const post = (fields: Record<string, string>) => on.cast.browser('leader').post(on.path('roll/turned-up'), turnedUpFields(fields));
  await post({ email: 'teo@walkers.example' });
  await post({ key: 'key-of-kit-park', name: 'Kit Park', minor: 'yes', guardian: 'tkey-of-teo-park' });
  await post({ key: 'key-of-mo-lund', name: 'Mo Lund', signature: 'Mo Lund' });
  const person = on.site.db.write((tx) =>
    tx.insert(people).values({ name: 'Teo Park', email: 'teo@walkers.example', createdAt: 0 }).returning().get(),
  );
  const browser = browserOf(on.site, person.id);
  await on.cast.browser('leader').post(on.path('roll/help'), { who: 'tkey-of-teo-park' });
  await on.cast
    .browser('leader')
    .post(on.path('incidents/new'), incidentFields({ who: 'tkey-of-kit-park', postMark: 'mark-of-the-childs' }));
  const page = (await browser.get('/me')).text;
  for (const words of [
    '<h2>Turned up</h2>',
    'Kit Park',
    '<b>Lena Marsh</b> opened those of Teo Park',
    'an emergency on the walk',
    'That something happened to you',
  ])
    expect(page).toContain(words);
  expect(page).not.toContain('Ida Park');
  await on.cast.browser('coordinator').post('/coordinate/incidents/2', { intent: 'close', outcome: 'recovered' });
  const saved = (await browser.post('/me/export')).body;
  expect(saved.turnedUp).toMatchObject([{ name: 'Teo Park', emergencyContact: { name: 'Ida Park' } }, { name: 'Kit Park' }]);
  await browser.post('/me/erase', { sure: 'yes' });
  expect(
    on.site.db.q
      .select()
      .from(turnedUp)
      .all()
      .map((one) => [one.name, one.phone, one.email]),
  ).toEqual([
    ['Erased', '', ''],
    ['Erased', '', ''],
    ['Mo Lund', '+12025550161', ''],
  ]);
  expect(on.site.db.q.select().from(turnedUpContacts).all()).toHaveLength(1);
});
