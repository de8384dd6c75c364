import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { openQueue } from '../../server/notices/queue.js';
import { walkById } from '../../server/walks/store.js';
import { parsed } from '../support/mail-sink.js';
import { calendarsOf, layStageSeries, type SeriesStage } from './lot-stage.js';
import { closeStage, HOUR, MINUTE, openStage, type Stage } from './stage.js';

const PLACES = ['North gate', 'South gate', 'Weir car park', 'Old mill'];
const WALKERS = ['ana@walkers.example', 'bo@walkers.example', 'cy@walkers.example'];

type Step =
  | { do: 'edit all' | 'edit one'; walk: number; place: number }
  | { do: 'wait'; minutes: number }
  /** The server takes a mail and its answer is lost; it puts one off; it breaks off; the process dies with a mail claimed. */
  | { do: 'swallow' | 'put off' | 'break off' | 'die' };

const walk = fc.integer({ min: 0, max: 2 });
const edit = fc.record({ do: fc.constantFrom('edit all', 'edit all', 'edit one'), walk, place: fc.nat(PLACES.length - 1) });
const wait = fc.record({ do: fc.constant('wait'), minutes: fc.constantFrom(0, 1, 2, 4, 20) });
const trouble = fc.record({ do: fc.constantFrom('swallow', 'put off', 'break off', 'die') });
const whoIsOn = fc.array(fc.subarray([0, 1, 2], { minLength: 1 }), { minLength: 3, maxLength: 3 });

interface Run {
  stage: Stage;
  series: SeriesStage;
  troubles: number;
}

async function play(on: number[][], steps: Step[]): Promise<Run> {
  const stage = await openStage();
  const series = layStageSeries(stage);
  for (const [index, walks] of on.entries()) for (const one of walks) series.signUp(series.ids[one] ?? 0, WALKERS[index] ?? '');
  await stage.deliver();
  const first = stage.sink.mails.length;
  stage.sink.mails.splice(0, first);
  const run = { stage, series, troubles: 0 };
  for (const step of steps) await take(run, step);
  // Nothing happens any more: whatever is owed arrives.
  for (const act of ['end', 'mail'] as const) stage.sink.script(act);
  for (let turn = 0; turn < 12; turn += 1) {
    stage.pass(HOUR);
    await stage.deliver();
  }
  return run;
}

async function take(run: Run, step: Step): Promise<void> {
  const { stage, series } = run;
  if (step.do === 'edit all') series.editAll({ meetingPoint: PLACES[step.place] ?? '' }, step.walk);
  else if (step.do === 'edit one') series.editOne(series.ids[step.walk] ?? 0, { meetingPoint: PLACES[step.place] ?? '' });
  else if (step.do === 'wait') {
    stage.pass(step.minutes * MINUTE);
    await stage.deliver();
  } else {
    run.troubles += 1;
    if (step.do === 'swallow') stage.sink.script('end', 'swallow');
    if (step.do === 'put off') stage.sink.script('end', 451);
    if (step.do === 'break off') stage.sink.script('data', 'drop');
    if (step.do === 'die') die(stage);
  }
}

/** The process takes the next mail and is gone; another starts over the same database. */
function die(stage: Stage): void {
  const { db, services, clock, config } = stage.site;
  const context = { now: clock.now, settings: services.settings(), config };
  db.write(() => openQueue(db, () => {}).claim(context, `dead-${clock.now}-${Math.random()}`));
  stage.restart();
}

/** What each address was told of each walk: the place, by Message-ID, in the order it arrived. */
async function toldOf({ stage }: Run) {
  const mails = await Promise.all(stage.sink.mails.map(async (mail) => ({ to: mail.to.join(), read: await parsed(mail) })));
  return mails.map(({ to, read }) => ({ to, id: read.messageId ?? '', walks: calendarsOf(read), text: read.text ?? '' }));
}

function end({ stage }: Run): Promise<void> {
  stage.site.log.splice(0);
  return closeStage(stage);
}

describe('random edits of random series', { timeout: 240_000 }, () => {
  it('tell every address each net difference once, and never by two mails for one edit', async () => {
    const property = fc.asyncProperty(whoIsOn, fc.array(fc.oneof(edit, wait), { maxLength: 12 }), async (on, steps) => {
      const run = await play(on, steps as Step[]);
      const { raw } = run.stage.site.db;
      const told = await toldOf(run);
      const seen = told.flatMap(({ to, walks }) => walks.map(({ uid, sequence }) => `${to} ${uid} ${sequence}`));
      expect(new Set(seen).size).toBe(seen.length);
      expect(raw.prepare("SELECT count(*) FROM notices WHERE state <> 'sent'").pluck().get()).toBe(0);
      // A lot's name begins with the edit's; the number of its first row follows once it went.
      const lots = raw
        .prepare("SELECT DISTINCT to_email || ' ' || lot AS lot FROM notices WHERE lot IS NOT NULL")
        .pluck()
        .all() as string[];
      expect(new Set(lots.map((lot) => lot.split('#')[0])).size).toBe(lots.length);
      const rows = raw.prepare("SELECT count(*) FROM notices WHERE kind = 'change' AND lot IS NULL").pluck().get() as number;
      expect(told.length).toBe(lots.length + rows);
      expectLastWord(run, told);
      await end(run);
    });
    await fc.assert(property, { numRuns: 20 });
  });

  it('tell the last word to every address, whatever dies half-way: a mail comes twice only under its own Message-ID', async () => {
    const property = fc.asyncProperty(whoIsOn, fc.array(fc.oneof(edit, edit, wait, trouble), { maxLength: 14 }), async (on, steps) => {
      const run = await play(on, steps as Step[]);
      const { raw } = run.stage.site.db;
      const told = await toldOf(run);
      const byId = new Map(told.map((mail) => [`${mail.to} ${mail.id}`, mail]));
      const seen = [...byId.values()].flatMap(({ to, walks }) => walks.map(({ uid, sequence }) => `${to} ${uid} ${sequence}`));
      expect(new Set(seen).size).toBe(seen.length);
      expect(told.length - byId.size).toBeLessThanOrEqual(run.troubles);
      for (const mail of told) expect(mail.text).toBe(byId.get(`${mail.to} ${mail.id}`)?.text);
      expect(raw.prepare("SELECT count(*) FROM notices WHERE state <> 'sent'").pluck().get()).toBe(0);
      expectLastWord(run, told);
      await end(run);
    });
    await fc.assert(property, { numRuns: 30 });
  });
});

/** Whoever was told anything of a walk was told last where it gathers now; whoever was not, never heard of another place. */
function expectLastWord({ stage, series }: Run, told: Awaited<ReturnType<typeof toldOf>>): void {
  const { db } = stage.site;
  for (const id of series.ids) {
    const row = walkById(db.q, id);
    const on = db.raw.prepare('SELECT email FROM sign_ups WHERE walk_id = ?').pluck().all(id) as string[];
    for (const email of on) {
      const last = told
        .filter((mail) => mail.to === email)
        .flatMap((mail) => mail.walks)
        .filter((one) => one.uid === row?.uid)
        .at(-1);
      expect(last?.location ?? 'Weir car park, by the green ticket machine').toContain(row?.meetingPoint);
    }
  }
}
