import { existsSync, readFileSync, utimesSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { keepForNext } from '../../server/contacts/kept.js';
import {
  applications,
  asks,
  auditLog,
  emergencyContacts,
  notices,
  partyMembers,
  people,
  rollEntries,
  sessions,
  signUps,
  waivers,
  waiverTraces,
  walks,
} from '../../server/db/schema/index.js';
import { minutelyJobs } from '../../server/jobs.js';
import { startSession } from '../../server/people/sessions.js';
import { addressMark } from '../../server/privacy/marks.js';
import { forgetOnTime } from '../../server/privacy/retention.js';
import { saveSettings } from '../../server/settings/store.js';
import { keepSignUp } from '../../server/signups/store.js';
import { verifyChain } from '../../server/waivers/verify.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { layApplication } from '../support/application.js';
import { askFor } from '../support/ask.js';
import { type Cast, layCast } from '../support/cast.js';
import { passingFolder } from '../support/folder.js';
import { askedToken } from '../support/offer.js';
import { contact, member, signUpForm } from '../support/sign-up.js';

const HOUR_MS = 60 * 60_000;
const DAY_MS = 24 * HOUR_MS;

let site: TestSite;
let cast: Cast;
let gatherAt: number;

beforeEach(async () => {
  site = await openSite({ DATA_DIR: passingFolder() });
  cast = layCast(site);
  gatherAt = site.db.q.select().from(walks).where(eq(walks.id, cast.walkId)).get()?.gatherAt ?? 0;
});

function signUp(email: string, names = ['Ana Ferreira']): number {
  const members = names.map((name) => member({ name }));
  const form = signUpForm({ email, name: names[0] ?? '', members });
  const kept = site.db.write((tx) => keepSignUp(tx, site.services, cast.walkId, form));
  return 'kept' in kept ? kept.kept : 0;
}

async function forgetAt(now: number): Promise<void> {
  site.clock.now = now;
  await forgetOnTime(site.services);
}

function count(table: string): number {
  return site.db.raw.prepare(`SELECT count(*) FROM ${table}`).pluck().get() as number;
}

/** Whether rows of a table are still there just before an instant, and gone at it. */
async function goesAt(table: string, at: number, before: number, after: number): Promise<void> {
  await forgetAt(at - 1);
  expect([table, 'just before', count(table)]).toEqual([table, 'just before', before]);
  await forgetAt(at);
  expect([table, 'on time', count(table)]).toEqual([table, 'on time', after]);
}

describe('what is forgotten on time', () => {
  it('the roll of a walk: two years after it, with the sign-ups', async () => {
    const said = { walkId: cast.walkId, who: 'm1', said: { kind: 'arrived' as const }, after: [], byPersonId: cast.ids.leader };
    const heard = { device: 'phone-of-lena', deviceAt: NOON, sentAt: NOON, receivedAt: NOON };
    site.db.write((tx) =>
      tx
        .insert(rollEntries)
        .values({ ...said, ...heard, entry: 'entry-of-a-phone-1' })
        .run(),
    );
    const gather = new Date(gatherAt);
    await goesAt('roll_entries', gather.setUTCFullYear(gather.getUTCFullYear() + 2), 1, 0);
  });

  it('emergency contacts: so many days after the close', async () => {
    site.db.write((tx) => saveSettings(tx, { contactsKeptDays: 7 }));
    signUp('ana@walkers.example');
    const closedAt = gatherAt + 5 * HOUR_MS;
    site.db.write((tx) => tx.update(walks).set({ state: 'closed', closedAt }).where(eq(walks.id, cast.walkId)).run());
    await goesAt('emergency_contacts', closedAt + 7 * DAY_MS, 1, 0);
  });

  it('emergency contacts of a walk that nobody closed: so many days after it must be over', async () => {
    signUp('ana@walkers.example');
    await goesAt('emergency_contacts', gatherAt + 48 * HOUR_MS + 30 * DAY_MS, 1, 0);
  });

  it('emergency contacts of a cancelled walk: so many days after it was cancelled, long before its day', async () => {
    signUp('ana@walkers.example');
    site.db.write((tx) => {
      const later = { gatherAt: NOON + 90 * DAY_MS, setOffAt: NOON + 90 * DAY_MS };
      tx.update(walks)
        .set({ ...later, state: 'cancelled', cancelKind: 'other', cancelReason: 'The ford is up.', cancelledAt: NOON + DAY_MS })
        .where(eq(walks.id, cast.walkId))
        .run();
    });
    await goesAt('emergency_contacts', NOON + 31 * DAY_MS, 1, 0);
  });

  it('from where a signature was typed: after 30 days, and the signature stays', async () => {
    signUp('ana@walkers.example');
    site.db.write((tx) => {
      tx.delete(waiverTraces).run();
      tx.insert(waiverTraces).values({ waiverId: 1, address: '192.0.2.7', agent: 'a browser', at: NOON }).run();
    });
    await goesAt('waiver_traces', NOON + 30 * DAY_MS, 1, 0);
    expect(site.db.q.select().from(waivers).all()).toHaveLength(1);
  });

  it('what leaders asked each other: 180 days after the walk', async () => {
    askedToken(site, cast);
    await goesAt('walk_offers', gatherAt + 180 * DAY_MS, 1, 0);
  });

  it('what leaders were asked for: 180 days after the last day of it', async () => {
    const { date } = askFor(site, cast);
    await goesAt('ask_letters', Date.parse(date) + 180 * DAY_MS, 1, 0);
    expect(site.db.q.select().from(asks).all()).toEqual([]);
  });

  it('contacts kept for next time: when they say', async () => {
    site.db.write((tx) =>
      keepForNext(tx, site.services.sealer, { personId: cast.ids.walker, forName: 'Wim', contact: contact(), now: NOON }),
    );
    await goesAt('kept_contacts', NOON + 365 * DAY_MS, 1, 0);
  });

  it('mail: 180 days after it was made, but not before its walk', async () => {
    signUp('ana@walkers.example');
    await goesAt('notices', NOON + 180 * DAY_MS, 1, 0);
    site.clock.now = NOON;
    signUp('ben@walkers.example');
    const later = NOON + 200 * DAY_MS;
    site.db.write((tx) => {
      tx.update(notices).set({ createdAt: NOON }).run();
      tx.update(walks).set({ gatherAt: later, setOffAt: later }).where(eq(walks.id, cast.walkId)).run();
    });
    await goesAt('notices', later, 1, 0);
  });

  it('sign-ups: emptied two years after the walk, and counted still', async () => {
    const id = signUp('ana@walkers.example', ['Ana Ferreira', 'Rui Ferreira']);
    const at = new Date(gatherAt);
    at.setUTCFullYear(at.getUTCFullYear() + 2);
    await forgetAt(at.getTime() - 1);
    expect(site.db.q.select().from(signUps).get()).toMatchObject({ name: 'Ana Ferreira', email: 'ana@walkers.example' });
    await forgetAt(at.getTime());
    expect(site.db.q.select().from(signUps).get()).toMatchObject({
      name: 'Erased',
      email: `erased:${id}`,
      phone: '',
      phoneTyped: '',
      state: 'confirmed',
      partySize: 2,
    });
    const names = site.db.q.select({ name: partyMembers.name }).from(partyMembers).all();
    expect(names).toEqual([{ name: 'Erased' }, { name: 'Erased' }]);
    expect(site.db.q.select().from(waivers).get()?.forName).toBe('Ana Ferreira');
  });

  it('the log: after three years', async () => {
    site.db.write((tx) => {
      tx.delete(auditLog).run();
      tx.insert(auditLog).values({ at: NOON, personId: null, action: 'test', subject: 'test' }).run();
    });
    await goesAt('audit_log', Date.UTC(2029, 10, 25, 12), 1, 0);
  });

  it('sessions: when they end', async () => {
    site.db.write((tx) => startSession(tx, site.services, cast.ids.walker));
    const expiresAt = site.db.q.select().from(sessions).get()?.expiresAt ?? 0;
    await goesAt('sessions', expiresAt, 1, 0);
  });

  it('sign-in links: a day after they expire', async () => {
    site.db.raw
      .prepare(
        "INSERT INTO sign_in_links (email, token_hash, code_hash, created_at, expires_at) VALUES ('a@walkers.example', 't', 'c', ?, ?)",
      )
      .run(NOON, NOON);
    await goesAt('sign_in_links', NOON + DAY_MS, 1, 0);
  });

  it('copies of the database: after 30 days', async () => {
    const copy = join(site.config.dataDir, 'before-migration-2.db');
    writeFileSync(copy, 'old');
    utimesSync(copy, NOON / 1000, NOON / 1000);
    await forgetAt(NOON + 29 * DAY_MS);
    expect(existsSync(copy)).toBe(true);
    await forgetAt(NOON + 31 * DAY_MS);
    expect(existsSync(copy)).toBe(false);
  });
});

describe('people nobody has heard of for two years', () => {
  const TWO_YEARS_ON = Date.UTC(2028, 10, 25, 12);
  const names = () =>
    site.db.q
      .select({ name: people.name })
      .from(people)
      .all()
      .map((row) => row.name);

  it('are erased: walkers without a role, a sign-up and a session', async () => {
    await forgetAt(TWO_YEARS_ON - 1);
    expect(names()).toContain('Wendel Ames');
    await forgetAt(TWO_YEARS_ON);
    expect(names()).toEqual(['Cora Danner', 'Lena Marsh', 'Otto Blume', 'Coe Lindgren']);
    expect(count('erased')).toBe(0);
  });

  it('leave a mark only where a signature lost its address, so that whoever verifies it sees why', async () => {
    signUp('walker@waymeet.example', ['Wendel Ames']);
    const laterThan = new Date(gatherAt);
    laterThan.setUTCFullYear(laterThan.getUTCFullYear() + 2);
    await forgetAt(laterThan.getTime());
    expect(names()).not.toContain('Wendel Ames');
    expect(site.db.q.select().from(waivers).get()).toMatchObject({ email: '', forName: 'Wendel Ames' });
    expect(site.db.raw.prepare('SELECT mark FROM erased').pluck().all()).toEqual([
      addressMark(site.services.sealer, 'walker@waymeet.example'),
    ]);
    expect(verifyChain(site.db.raw, site.services.sealer)).toMatchObject({ count: 1, faults: [] });
  });

  it('are not erased while any of that is there', async () => {
    site.db.write((tx) => {
      tx.update(people).set({ disabledAt: NOON }).where(eq(people.email, 'other@waymeet.example')).run();
      tx.insert(people)
        .values({ name: 'Newcomer', email: 'new@walkers.example', createdAt: NOON + 1 })
        .run();
      tx.insert(people).values({ name: 'Absent', email: 'absent@walkers.example', createdAt: NOON }).run();
    });
    const later = TWO_YEARS_ON - 30 * DAY_MS;
    site.db.write((tx) => tx.update(walks).set({ gatherAt: later, setOffAt: later }).where(eq(walks.id, cast.walkId)).run());
    signUp('walker@waymeet.example', ['Wendel Ames', 'Absent']);
    site.db.write((tx) => tx.update(partyMembers).set({ email: 'absent@walkers.example' }).where(eq(partyMembers.name, 'Absent')).run());
    await forgetAt(TWO_YEARS_ON);
    expect(names()).toEqual(expect.arrayContaining(['Wendel Ames', 'Olive Reed', 'Newcomer', 'Absent']));
  });

  it('are not erased while an application of theirs is kept', async () => {
    layApplication(site, cast);
    const decided = (at: number) =>
      site.db.write((tx) => tx.update(applications).set({ state: 'approved', decidedAt: at, decidedBy: cast.ids.coordinator }).run());
    const yearBefore = Date.UTC(2027, 10, 25, 12);
    decided(yearBefore + 1);
    await forgetAt(TWO_YEARS_ON);
    expect(names()).toContain('Wendel Ames');
    decided(yearBefore);
    await forgetAt(TWO_YEARS_ON);
    expect(names()).not.toContain('Wendel Ames');
  });

  it('are not erased while they are signed in', async () => {
    site.clock.now = TWO_YEARS_ON - DAY_MS;
    site.db.write((tx) => startSession(tx, site.services, cast.ids.walker));
    await forgetAt(TWO_YEARS_ON);
    expect(names()).toContain('Wendel Ames');
    expect(names()).not.toContain('Olive Reed');
  });

  it('are not erased while they have led a walk since', async () => {
    site.db.raw.prepare("UPDATE leaders SET state = 'stood_down'").run();
    const later = TWO_YEARS_ON - DAY_MS;
    site.db.write((tx) => tx.update(walks).set({ gatherAt: later, setOffAt: later }).where(eq(walks.id, cast.walkId)).run());
    await forgetAt(TWO_YEARS_ON);
    expect(names()).toEqual(expect.arrayContaining(['Lena Marsh', 'Coe Lindgren']));
    expect(names()).not.toContain('Otto Blume');
  });
});

describe('the job', () => {
  it('goes in batches, and lets others in between', async () => {
    site.db.write((tx) => {
      tx.delete(auditLog).run();
      tx.insert(auditLog)
        .values(Array.from({ length: 700 }, () => ({ at: 0, personId: null, action: 'old', subject: 'old' })))
        .run();
    });
    const running = forgetOnTime(site.services);
    const seen = new Set<number>();
    for (let turn = 0; turn < 50; turn += 1) {
      await setImmediate();
      seen.add(count('audit_log'));
    }
    await running;
    expect([...seen].sort((a, b) => b - a)).toEqual([700, 400, 100, 0].filter((left) => seen.has(left)));
    expect(seen.has(400) || seen.has(100)).toBe(true);
    expect(count('audit_log')).toBe(0);
  });

  it('logs a step that fails, and takes the others', async () => {
    signUp('ana@walkers.example');
    site.db.raw.exec("CREATE TRIGGER stuck BEFORE DELETE ON emergency_contacts BEGIN SELECT RAISE(ABORT, 'stuck'); END");
    await forgetAt(gatherAt + 400 * DAY_MS);
    expect(site.log.splice(0).map((line) => (JSON.parse(line) as { kind: string }).kind)).toEqual(['contacts']);
    expect([site.db.q.select().from(emergencyContacts).all().length, count('notices')]).toEqual([1, 0]);
  });

  it('leaves nothing of it in the file or its log of writes', async () => {
    site.db.write((tx) => tx.insert(auditLog).values({ at: 0, personId: null, action: 'Qz-gone-zQ', subject: 'x' }).run());
    const bytes = () => [site.db.raw.name, `${site.db.raw.name}-wal`].map((file) => readFileSync(file, 'latin1')).join('');
    expect(bytes()).toContain('Qz-gone-zQ');
    await forgetAt(NOON);
    expect(bytes()).not.toContain('Qz-gone-zQ');
  });

  it('runs at the start and each day, and says nothing where the service stops meanwhile', async () => {
    const old = () => site.db.write((tx) => tx.insert(auditLog).values({ at: 0, personId: null, action: 'old', subject: 'old' }).run());
    const left = () => site.db.q.select().from(auditLog).where(eq(auditLog.action, 'old')).all().length;
    const settled = async () => {
      for (let turn = 0; turn < 50; turn += 1) await setImmediate();
    };
    const run = minutelyJobs(site.services);
    old();
    run();
    await settled();
    expect(left()).toBe(0);
    old();
    site.clock.now += DAY_MS - 1;
    run();
    await settled();
    expect(left()).toBe(1);
    site.clock.now += 1;
    run();
    await settled();
    expect(left()).toBe(0);
    site.clock.now += DAY_MS;
    run();
  });

  it('gives places that came free to those who wait', async () => {
    site.db.write((tx) => tx.update(walks).set({ capacity: 1 }).where(eq(walks.id, cast.walkId)).run());
    signUp('ana@walkers.example');
    const waiting = signUp('wait@walkers.example');
    site.db.write((tx) =>
      tx.update(signUps).set({ state: 'withdrawn', withdrawnAt: NOON }).where(eq(signUps.email, 'ana@walkers.example')).run(),
    );
    await forgetAt(NOON);
    expect(site.db.q.select().from(signUps).where(eq(signUps.id, waiting)).get()?.state).toBe('confirmed');
  });
});
