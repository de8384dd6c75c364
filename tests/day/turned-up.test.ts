import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { standing } from '../../server/day/ledger.js';
import { entriesOf, rosterOf } from '../../server/day/store.js';
import { notices, rollEntries, turnedUp, turnedUpContacts, waivers } from '../../server/db/schema/index.js';
import { waiverDocument } from '../../server/waivers/document.js';
import { documentOfWaiver, verifyChain } from '../../server/waivers/verify.js';
import { walkFacts } from '../support/cast.js';
import { DAY_MS, GATHER, HOUR_MS, type Stage, stage, turnedUpFields } from './care-stage.js';

let on: Stage;

beforeEach(async () => {
  on = await stage();
});

const post = (fields: Record<string, string>, path = 'roll/turned-up') => on.cast.browser('leader').post(on.path(path), fields);
const row = () => on.site.db.q.select().from(turnedUp).get();
const roster = () =>
  rosterOf(
    on.site.db.q,
    { id: on.cast.walkId, wallDate: walkFacts().date },
    { now: on.site.clock.now, settings: on.site.services.settings() },
  );

describe('somebody who turns up', () => {
  it('is on the roll as arrived, with contact sealed and waiver in the chain', async () => {
    const answer = await post(turnedUpFields());
    expect([answer.status, answer.headers.location]).toEqual([303, `${on.path('roll')}#tkey-of-teo-park`]);
    expect(roster().at(-1)).toMatchObject({ who: 'tkey-of-teo-park', name: 'Teo Park', minor: false, guardianName: null, waiver: true });
    const entries = entriesOf(on.site.db.q, on.cast.walkId).filter((entry) => entry.who === 'tkey-of-teo-park');
    expect(standing(entries).state).toBe('arrived');
    const sealed = on.site.db.q.select().from(turnedUpContacts).get()?.sealed ?? Buffer.alloc(0);
    expect(sealed.toString('latin1')).not.toContain('Ida');
    const waiver = on.site.db.q
      .select()
      .from(waivers)
      .where(eq(waivers.id, row()?.waiverId ?? 0))
      .get();
    expect(waiver).toMatchObject({
      how: 'page',
      forName: 'Teo Park',
      signedAs: 'self',
      signature: 'Teo Park',
      seenBy: 'Lena Marsh',
      email: '',
      signUpId: null,
    });
    expect(documentOfWaiver(on.site.db.q, waiver?.id ?? 0)).toContain(
      'Typed on the screen of Lena Marsh, who saw it, on the day of a walk',
    );
    expect(verifyChain(on.site.db.raw, on.site.services.sealer).faults).toEqual([]);
  });

  it('posted twice is the same person, who signed once', async () => {
    await post(turnedUpFields());
    const signed = on.site.db.q.select().from(waivers).all().length;
    expect((await post(turnedUpFields())).status).toBe(303);
    expect(on.site.db.q.select().from(turnedUp).all()).toHaveLength(1);
    expect(on.site.db.q.select().from(waivers).all()).toHaveLength(signed);
    expect(on.site.db.q.select().from(rollEntries).all()).toHaveLength(1);
    expect(roster().at(-1)?.waiver).toBe(true);
  });

  it('may sign on paper or later, and the roll says so', async () => {
    await post(turnedUpFields({ way: 'later', signature: '', agreeWaiver: '' }));
    expect(roster().at(-1)?.waiver).toBe(false);
    const answer = await post({ name: 'Teo Park', way: 'paper' }, 'roll/turned-up/key-of-teo-park');
    expect(answer.status).toBe(303);
    expect(roster().at(-1)?.waiver).toBe(true);
    expect(on.site.db.q.select().from(waivers).orderBy(waivers.id).all().at(-1)).toMatchObject({ how: 'paper', seenBy: 'Lena Marsh' });
  });

  it('signs again where the name changes', async () => {
    await post(turnedUpFields());
    await post(turnedUpFields({ name: 'Theo Parker', way: 'later' }), 'roll/turned-up/key-of-teo-park');
    expect([row()?.name, row()?.waiverId]).toEqual(['Theo Parker', null]);
  });

  it('keeps the contact that is kept where nothing is typed anew', async () => {
    await post(turnedUpFields());
    const before = on.site.db.q.select().from(turnedUpContacts).get();
    await post({ name: 'Teo Park' }, 'roll/turned-up/key-of-teo-park');
    expect(on.site.db.q.select().from(turnedUpContacts).get()).toEqual(before);
  });

  it('under 18 needs an adult on the roll, who signs', async () => {
    const child = { key: 'key-of-kit-park', name: 'Kit Park', minor: 'yes' };
    const refused = await post(turnedUpFields({ ...child, signature: 'Kit Park' }));
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('Choose the adult on the roll who stays with them all the way');
    const wrong = await post(turnedUpFields({ ...child, guardian: on.ana, signature: 'Kit Park' }));
    expect(wrong.text).toContain('Ana Ferreira signs for Kit Park: type Ana Ferreira.');
    expect((await post(turnedUpFields({ ...child, guardian: on.ana, signature: 'ana ferreira' }))).status).toBe(303);
    expect(roster().at(-1)).toMatchObject({ name: 'Kit Park', minor: true, guardianName: 'Ana Ferreira', waiver: true });
    expect(on.site.db.q.select().from(waivers).orderBy(waivers.id).all().at(-1)).toMatchObject({
      signedAs: 'guardian',
      email: 'ana@walkers.example',
    });
    expect(verifyChain(on.site.db.raw, on.site.services.sealer).faults).toEqual([]);
  });

  it('is refused with what was typed, and a sentence for each field', async () => {
    const answer = await post(turnedUpFields({ name: '', contactPhone: '12', email: 'nobody', agreeRules: '', way: '' }));
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('<title>Error: ');
    for (const words of [
      'Type their name.',
      'wrong count of digits',
      'Type an e-mail address',
      'They read the rules',
      'Say how they sign',
      'value="Ida Park"',
      'value="key-of-teo-park"',
    ])
      expect(answer.text).toContain(words);
    expect(row()).toBeUndefined();
  });

  it('may name nobody, and says so', async () => {
    const none = { contactName: '', contactRelation: '', contactPhone: '', note: '' };
    expect((await post(turnedUpFields(none))).status).toBe(422);
    expect((await post(turnedUpFields({ ...none, noContact: 'yes' }))).status).toBe(303);
    expect(on.site.db.q.select().from(turnedUpContacts).all()).toEqual([]);
  });

  it('gets a copy of what was signed where an address is left, and none otherwise', async () => {
    await post(turnedUpFields());
    expect(on.site.db.q.select().from(notices).where(eq(notices.kind, 'signed-copy')).all()).toEqual([]);
    await post(turnedUpFields({ key: 'key-of-mo-lund', name: 'Mo Lund', signature: 'Mo Lund', email: 'Mo@walkers.example' }));
    const [owed] = on.site.db.q.select().from(notices).where(eq(notices.kind, 'signed-copy')).all();
    expect(owed).toMatchObject({ toName: 'Mo Lund', toEmail: 'mo@walkers.example' });
  });

  it('is added from a day before gathering, and no more once the walk is closed; what is missing is filled in until details close', async () => {
    const at = async (now: number, key: string) => {
      on.site.clock.now = now;
      return (await post(turnedUpFields({ key, email: '' }))).status;
    };
    expect(await at(GATHER - DAY_MS - 1, 'key-before')).toBe(409);
    expect(await at(GATHER - DAY_MS, 'key-from-then')).toBe(303);
    expect(await at(GATHER + 3 * DAY_MS - 1, 'key-late')).toBe(303);
    expect(await at(GATHER + 3 * DAY_MS, 'key-too-late')).toBe(409);
    on.site.db.raw.prepare("UPDATE walks SET state = 'closed', closed_at = ? WHERE id = ?").run(GATHER + 5 * HOUR_MS, on.cast.walkId);
    expect(await at(GATHER + 6 * HOUR_MS, 'key-closed')).toBe(409);
    expect(await at(GATHER + 6 * HOUR_MS, 'key-from-then')).toBe(303);
  });

  it('is told of a full walk, and added all the same', async () => {
    on.site.db.raw.prepare('UPDATE walks SET capacity = 1 WHERE id = ?').run(on.cast.walkId);
    expect((await on.cast.browser('leader').get(on.path('roll/turned-up'))).text).toContain(
      'The walk is full: 1 on the roll, posted for 1.',
    );
    expect((await post(turnedUpFields())).status).toBe(303);
  });

  it('named by a phone without signal is filled in', async () => {
    on.site.db.write((tx) =>
      tx.insert(turnedUp).values({ walkId: on.cast.walkId, key: 'from-a-phone', name: 'Bo', addedAt: GATHER }).run(),
    );
    const page = await on.cast.browser('leader').get(on.path('roll/turned-up/from-a-phone'));
    expect(page.text).toContain('value="Bo"');
    expect((await post(turnedUpFields({ name: 'Bo Quist', signature: 'Bo Quist' }), 'roll/turned-up/from-a-phone')).status).toBe(303);
    expect(row()).toMatchObject({ key: 'from-a-phone', name: 'Bo Quist' });
  });
});

it('a document typed on a screen before a leader says so; that of a sign-up says what it always said', () => {
  const signed = {
    how: 'page',
    text: { version: 1, sha256: 'x', body: 'Words.' },
    forName: 'A',
    signedAs: 'self',
    signerName: 'A',
    signature: 'A',
    intent: 'i',
    consent: '',
    proof: 'none',
    signedAt: 0,
    signUpId: 3,
  } as const;
  expect(waiverDocument({ ...signed, seenBy: '' })).toContain('\nAddress: given with it, not shown at that time');
  expect(waiverDocument({ ...signed, seenBy: 'Lena', signUpId: null })).not.toContain('Address:');
});
