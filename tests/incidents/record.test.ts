import { beforeEach, describe, expect, it } from 'vitest';
import { auditLog, incidents, incidentVersions, notices } from '../../server/db/schema/index.js';
import { mailMaker } from '../../server/notices/mail.js';
import { DAY_MS, GATHER, HOUR_MS, incidentFields, type Stage, stage } from '../day/care-stage.js';

let on: Stage;
/** A time at which the record's own (07:30) is over. */
const DURING = GATHER + 2 * HOUR_MS;

beforeEach(async () => {
  on = await stage();
  on.site.clock.now = DURING;
});

const write = (changed: Record<string, string> = {}, visitor: 'leader' | 'co-leader' | 'coordinator' = 'leader') =>
  on.cast.browser(visitor).post(on.path('incidents/new'), incidentFields(changed));
const row = () => on.site.db.q.select().from(incidents).get();
const logged = (action: string) =>
  on.site.db.q
    .select()
    .from(auditLog)
    .all()
    .filter((entry) => entry.action === action);

describe('what a leader writes down', () => {
  it.each([
    [GATHER - 1, ['2026-12-05', '']],
    [GATHER, ['2026-12-05', '08:45']],
    [GATHER + 15.25 * HOUR_MS - 1, ['2026-12-05', '23:59']],
    [GATHER + 15.25 * HOUR_MS, ['2026-12-05', '']],
  ])('just happened, on the day of the walk, from the gathering on: at %i %j', async (now, expected) => {
    on.site.clock.now = now;
    const { text } = await on.cast.browser('leader').get(on.path('incidents/new'));
    const value = (field: string) => new RegExp(`id="${field}"[^>]*value="([^"]*)"`).exec(text)?.[1] ?? '';
    expect([value('date'), value('time')]).toEqual(expected);
  });

  it('is sealed as a whole, and the queue knows when it is to be looked at', async () => {
    const answer = await write({ who: on.ana });
    expect([answer.status, answer.headers.location]).toEqual([303, `${on.path('incidents/1')}?saved=1`]);
    expect(row()).toMatchObject({ who: on.ana, called: false, state: 'open', dueOn: '2026-12-08', byPersonId: on.cast.ids.leader });
    const bytes = on.site.db.q.select().from(incidentVersions).get()?.recordSealed.toString('latin1') ?? '';
    for (const words of ['dizzy', 'heat', 'Ana']) expect(bytes).not.toContain(words);
  });

  it('posted twice is one', async () => {
    await write();
    expect((await write()).headers.location).toBe(`${on.path('incidents/1')}?saved=1`);
    expect(on.site.db.q.select().from(incidents).all()).toHaveLength(1);
    expect(
      on.site.db.q
        .select()
        .from(notices)
        .all()
        .filter((one) => one.kind === 'incident'),
    ).toHaveLength(1);
  });

  it('is told to every coordinator at once, without names and without what happened', async () => {
    await write({ name: 'Qzilla Runner' });
    const owed = on.site.db.q
      .select()
      .from(notices)
      .all()
      .filter((one) => one.kind === 'incident');
    expect(owed).toMatchObject([{ toEmail: 'coordinator@waymeet.example', dueAt: DURING }]);
    const { make } = mailMaker(on.site.services, on.site.views);
    const mail = JSON.stringify(owed[0] && make(owed[0]));
    expect(mail).toContain('An incident was recorded: 8-mile walk: Quarry Lakes loop, Lantern Hills');
    expect(mail).toContain('/coordinate/incidents/1');
    for (const words of ['Qzilla', 'dizzy', 'heat', 'Lena']) expect(mail).not.toContain(words);
  });

  it('is refused with what was typed, a sentence for each field', async () => {
    const answer = await write({ kind: 'x', who: '', where: '', what: 'short', done: '', called: '', time: '25:00' });
    expect(answer.status).toBe(422);
    for (const words of [
      'Choose what comes nearest.',
      'Choose somebody on the roll',
      'Choose a place above, or write where it was.',
      'Write what happened, in ten characters or more.',
      'will do.',
      'Say whether the emergency number was called.',
      'Type the time, such as 14:30.',
      'value="a-mark-of-the-form"',
      '>short</textarea>',
    ])
      expect(answer.text).toContain(words);
  });

  it('cannot be about what is still to come, but for a clock that is ten minutes ahead', async () => {
    on.site.clock.now = GATHER;
    expect((await write({ time: '08:55' })).status).toBe(303);
    expect((await write({ time: '08:56', postMark: 'another-mark-of-it' })).text).toContain('This is still to come.');
  });

  it('waits for the window, and for a walk that was posted', async () => {
    on.site.clock.now = GATHER - DAY_MS - 1;
    expect((await write({ date: '2026-12-04' })).status).toBe(409);
    on.site.clock.now = GATHER - DAY_MS;
    expect((await write({ date: '2026-12-04' })).status).toBe(303);
    expect((await on.cast.browser('leader').get(`/lead/walks/${on.cast.draftId}/incidents/new`)).text).toContain('never posted');
  });
});

describe('reading it', () => {
  beforeEach(async () => {
    await write();
  });

  const read = (visitor: 'leader' | 'co-leader', now: number) => {
    on.site.clock.now = now;
    return on.cast.browser(visitor).post(on.path('incidents/1'), { intent: 'open' });
  };

  it('is for its writer, by a button, and is written down', async () => {
    expect((await on.cast.browser('leader').get(on.path('incidents/1'))).text).not.toContain('dizzy');
    expect(logged('opened an incident')).toEqual([]);
    expect((await read('leader', DURING)).text).toContain('Felt dizzy on the last climb');
    expect(logged('opened an incident')).toMatchObject([{ personId: on.cast.ids.leader, subject: 'incident:1' }]);
    expect((await read('co-leader', DURING)).status).toBe(403);
    expect((await on.cast.browser('co-leader').get(on.path('incidents/1'))).status).toBe(403);
  });

  it('ends with the walk’s window', async () => {
    expect((await read('leader', GATHER + 3 * DAY_MS - 1)).status).toBe(200);
    expect((await read('leader', GATHER + 3 * DAY_MS)).status).toBe(403);
  });

  it('is for a day where it was written after the window', async () => {
    const late = GATHER + 20 * DAY_MS;
    on.site.clock.now = late;
    await write({ postMark: 'a-late-mark-of-it' });
    const later = (now: number) => {
      on.site.clock.now = now;
      return on.cast.browser('leader').post(on.path('incidents/2'), { intent: 'open' });
    };
    expect((await later(late + DAY_MS - 1)).status).toBe(200);
    expect((await later(late + DAY_MS)).status).toBe(403);
  });

  it('leads a coordinator to the queue, and is not there on another walk', async () => {
    const answer = await on.cast.browser('coordinator').get(on.path('incidents/1'));
    expect([answer.status, answer.headers.location]).toEqual([303, '/coordinate/incidents/1']);
    expect((await on.cast.browser('leader').get(`/lead/walks/${on.cast.draftId}/incidents/1`)).status).toBe(404);
  });

  it('shows nothing where the reading cannot be written down', async () => {
    on.site.db.raw.exec("CREATE TRIGGER stuck BEFORE INSERT ON audit_log BEGIN SELECT RAISE(ABORT, 'stuck'); END");
    const { status, text } = await read('leader', DURING);
    expect([status, text.includes('dizzy')]).toEqual([500, false]);
    on.site.log.splice(0);
  });

  it('says so where it does not open, and logs it', async () => {
    on.site.db.write((tx) =>
      tx
        .update(incidentVersions)
        .set({ recordSealed: Buffer.from('broken') })
        .run(),
    );
    expect((await read('leader', DURING)).text).toContain('What is kept cannot be opened');
    expect(on.site.log.splice(0).join('')).toContain('incident_versions.record_sealed row 1 does not open');
  });
});

describe('changing it', () => {
  beforeEach(async () => {
    await write();
  });

  const change = (now: number, fields: Record<string, string> = incidentFields({ what: 'Felt faint, not dizzy.', called: 'yes' })) => {
    on.site.clock.now = now;
    return on.cast.browser('leader').post(on.path('incidents/1'), { intent: 'change', ...fields });
  };

  it('for a day makes a new version beside the old one', async () => {
    expect((await change(DURING + DAY_MS - 1)).status).toBe(303);
    expect(row()?.called).toBe(true);
    const { text } = await on.cast.browser('leader').post(on.path('incidents/1'), { intent: 'open' });
    expect(text).toContain('Felt faint, not dizzy.');
    expect(text).toContain('Felt dizzy on the last climb');
    expect((await change(DURING + DAY_MS)).status).toBe(409);
  });

  it('takes notes after that, as long as it is open', async () => {
    const note = (words: string) => on.cast.browser('leader').post(on.path('incidents/1'), { intent: 'note', note: words });
    on.site.clock.now = DURING + 2 * DAY_MS;
    expect((await note('She rang: all well.')).status).toBe(303);
    expect((await note('')).status).toBe(422);
    await on.cast.browser('coordinator').post('/coordinate/incidents/1', { intent: 'close', outcome: 'recovered' });
    expect((await note('Too late.')).status).toBe(409);
  });

  it('a refused change keeps what was typed', async () => {
    const answer = await change(DURING, incidentFields({ what: 'no', done: 'Sat with her.' }));
    expect(answer.status).toBe(422);
    expect(answer.text).toContain('>Sat with her.</textarea>');
  });
});
