import { eq } from 'drizzle-orm';
import { beforeEach, describe, expect, it } from 'vitest';
import { leaders, people } from '../../server/db/schema/index.js';
import { markRead, readPages } from '../../server/handbook/store.js';
import { forgetOnTime } from '../../server/privacy/retention.js';
import { endAttempt, ownAttempt, quizState } from '../../server/quiz/store.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import { type Cast, layCast } from '../support/cast.js';
import { passingFolder } from '../support/folder.js';
import { layAttempt } from '../support/quiz.js';

const TWO_YEARS_ON = Date.UTC(2028, 10, 25, 12);

let site: TestSite;
let cast: Cast;
beforeEach(async () => {
  site = await openSite({ DATA_DIR: passingFolder() });
  cast = layCast(site);
});

const attempts = () => site.db.raw.prepare('SELECT person_id FROM quiz_attempts ORDER BY person_id').pluck().all();

async function forgetAt(now: number): Promise<void> {
  site.clock.now = now;
  await forgetOnTime(site.services);
}

describe('attempts and handbook marks', () => {
  it('of someone who never became a leader go after two years, those of leaders stay', async () => {
    // Whose account is younger stays: what goes of them goes by its own rule.
    const { walker } = cast.ids;
    site.db.write((tx) =>
      tx
        .update(people)
        .set({ createdAt: NOON + 1 })
        .where(eq(people.id, walker))
        .run(),
    );
    for (const name of ['walker', 'leader', 'other leader'] as const) {
      layAttempt(site, cast.ids[name]);
      site.db.write((tx) => markRead(tx, cast.ids[name], 'the-day', NOON));
    }
    site.db.write((tx) => tx.update(leaders).set({ state: 'stood_down' }).where(eq(leaders.personId, cast.ids.leader)).run());
    const held = () => [
      attempts(),
      [...readPages(site.db.q, cast.ids.walker)].length,
      site.db.raw.prepare('SELECT count(*) FROM quiz_attempt_questions').pluck().get(),
    ];
    await forgetAt(TWO_YEARS_ON - 1);
    expect(held()).toEqual([[cast.ids.walker, cast.ids.leader, cast.ids['other leader']].sort(), 1, 30]);
    await forgetAt(TWO_YEARS_ON);
    expect(held()).toEqual([[cast.ids.leader, cast.ids['other leader']].sort(), 0, 20]);
    expect(readPages(site.db.q, cast.ids.leader).size).toBe(1);
    expect(site.db.q.select().from(people).where(eq(people.id, walker)).get()?.name).toBe('Wendel Ames');
  });

  it('keep an account for two years, as a sign-up does', async () => {
    const { walker } = cast.ids;
    site.clock.now = NOON + 1000;
    layAttempt(site, walker);
    const isThere = () => site.db.raw.prepare('SELECT count(*) FROM people WHERE id = ?').pluck().get(walker);
    await forgetAt(TWO_YEARS_ON + 999);
    expect(isThere()).toBe(1);
    await forgetAt(TWO_YEARS_ON + 1000);
    expect(isThere()).toBe(0);
  });

  it('are in what the person can take along, and on their page', async () => {
    const id = layAttempt(site, cast.ids.walker);
    const attempt = ownAttempt(site.db.q, cast.ids.walker, id);
    if (!attempt) throw new Error('it was just laid');
    const chosen = new Map(attempt.asked.map((one) => [one.place, one.rightAnswer]));
    site.db.write((tx) => {
      endAttempt(tx, attempt, chosen, NOON + 1000);
      markRead(tx, cast.ids.walker, 'the-day', NOON);
    });
    const walker = cast.browser('walker');
    const json = (await walker.get('/me.json')).body as { handbookRead: unknown; quiz: unknown[] };
    expect(json.handbookRead).toEqual([{ page: `${site.config.baseUrl}/handbook/the-day`, at: new Date(NOON).toISOString() }]);
    const [first] = attempt.asked;
    expect(json.quiz).toEqual([
      {
        started: new Date(NOON).toISOString(),
        ended: new Date(NOON + 1000).toISOString(),
        passPercent: 80,
        right: 10,
        passed: true,
        questions: expect.arrayContaining([{ question: first?.question, chosen: first?.answers[0] }]) as unknown,
      },
    ]);
    const { text } = await walker.get('/me');
    expect(text).toContain('You marked 1 page of');
    expect(text).toContain('Quiz: 10 of 10 right, passed');
  });

  it('go with the person who is erased, while the questions stay', async () => {
    layAttempt(site, cast.ids.walker);
    site.db.write((tx) => markRead(tx, cast.ids.walker, 'the-day', NOON));
    const walker = cast.browser('walker');
    await walker.get('/me/erase');
    await walker.post('/me/erase', { sure: 'yes' });
    expect(attempts()).toEqual([]);
    expect(site.db.raw.prepare('SELECT count(*) FROM handbook_reads').pluck().get()).toBe(0);
    expect(site.db.raw.prepare('SELECT count(*) FROM quiz_questions').pluck().get()).toBeGreaterThan(20);
    expect(quizState(site.db.q, cast.ids.walker).open).toBe(null);
  });
});
