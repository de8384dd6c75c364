import { beforeEach, describe, expect, it } from 'vitest';
import { quizQuestions } from '../../server/db/schema/index.js';
import { keepQuestion, retireQuestion } from '../../server/quiz/bank-store.js';
import { ownAttempt, quizPassedAt, quizState } from '../../server/quiz/store.js';
import { saveSettings } from '../../server/settings/store.js';
import { NOON, openSite, type TestSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { type Cast, layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { layBank } from '../support/quiz.js';

const QUIZ = '/lead/join/quiz';

let site: TestSite;
let cast: Cast;
let walker: Browser;
beforeEach(async () => {
  site = await openSite();
  cast = layCast(site);
  walker = cast.browser('walker');
  await walker.get(QUIZ);
});

async function start(browser = walker): Promise<number> {
  const answer = await browser.post(QUIZ);
  expect(answer.status).toBe(303);
  return Number(/\/(\d+)$/.exec(String(answer.headers.location))?.[1]);
}

function attempt(id: number, personId = cast.ids.walker) {
  const found = ownAttempt(site.db.q, personId, id);
  if (!found) throw new Error('no such attempt');
  return found;
}

/** What a browser would send to answer so many rightly, the first ones, and the others wrongly. */
function answers(id: number, right: number): Record<string, string> {
  return Object.fromEntries(
    attempt(id).asked.map(({ place, answerOrder, rightAnswer }) => {
      const shown = answerOrder.findIndex((answer) => (answer === rightAnswer) === place <= right);
      return [`q${place}`, String(shown + 1)];
    }),
  );
}

describe('taking the quiz', () => {
  it('says beforehand how many questions there are and how many must be right', async () => {
    const { text } = await walker.get(QUIZ);
    expect(text).toContain('10 questions on');
    expect(text).toContain('<b>8 right</b>');
    expect(text).toContain('0 of 7 handbook pages');
    expect(site.db.raw.prepare('SELECT count(*) FROM quiz_attempts').pluck().get()).toBe(0);
  });

  it('draws as many questions as the settings say, over all pages, and goes on with the same attempt until it is answered', async () => {
    const id = await start();
    expect(await start()).toBe(id);
    const { asked } = attempt(id);
    expect(asked.length).toBe(10);
    expect(new Set(asked.map((one) => one.question)).size).toBe(10);
    expect(new Set(asked.map((one) => one.page)).size).toBe(7);
    const { text, status } = await walker.get(`${QUIZ}/${id}`);
    expect(status).toBe(200);
    for (const { answers: shown } of asked) for (const answer of shown) expect(text).toContain(escaped(answer));
    expect(text).not.toContain('checked');
    expect((await walker.get(QUIZ)).text).toContain(`href="${QUIZ}/${id}"`);
  });

  it('passes at the mark, and not with one fewer', async () => {
    const low = await start();
    expect((await walker.post(`${QUIZ}/${low}`, answers(low, 7))).status).toBe(303);
    expect(attempt(low)).toMatchObject({ rightCount: 7, passed: false, endedAt: NOON });
    expect(quizPassedAt(site.db.q, cast.ids.walker)).toBe(null);
    const failed = (await walker.get(`${QUIZ}/${low}`)).text;
    expect(failed).toContain('Not passed yet');
    expect(failed).toContain('7 of 10 right');
    expect(failed).toContain('Try again');

    site.clock.now += 60_000;
    const at = await start();
    expect(at).not.toBe(low);
    await walker.post(`${QUIZ}/${at}`, answers(at, 8));
    expect(attempt(at)).toMatchObject({ rightCount: 8, passed: true });
    expect(quizPassedAt(site.db.q, cast.ids.walker)).toBe(NOON + 60_000);
    expect(quizState(site.db.q, cast.ids.walker)).toEqual({
      passedAt: NOON + 60_000,
      open: null,
      last: { id: at, right: 8, of: 10, passed: true, endedAt: NOON + 60_000 },
    });
    expect((await walker.get(`${QUIZ}/${at}`)).text).toContain('You passed the quiz');
    expect((await walker.get(QUIZ)).text).toContain('You have passed');
    expect(quizPassedAt(site.db.q, cast.ids['other walker'])).toBe(null);
  });

  it('stays passed when a later attempt fails or is left open', async () => {
    const good = await start();
    await walker.post(`${QUIZ}/${good}`, answers(good, 10));
    site.clock.now += 1;
    const bad = await start();
    expect(quizState(site.db.q, cast.ids.walker)).toMatchObject({ passedAt: NOON, open: bad, last: { id: good } });
    await walker.post(`${QUIZ}/${bad}`, answers(bad, 0));
    expect(quizState(site.db.q, cast.ids.walker)).toMatchObject({ passedAt: NOON, open: null, last: { id: bad, passed: false } });
  });

  it('tries again with other questions where the bank has them', async () => {
    site.db.write((tx) => saveSettings(tx, { quizQuestions: 7 }));
    const first = await start();
    await walker.post(`${QUIZ}/${first}`, answers(first, 0));
    const second = await start();
    const questions = (id: number) => attempt(id).asked.map((one) => one.question);
    expect(questions(second).filter((one) => questions(first).includes(one))).toEqual([]);
  });

  it('shows of each wrong answer what was right, why, and where to read it; of a right one nothing', async () => {
    layBank(site, 2);
    const id = await start();
    await walker.post(`${QUIZ}/${id}`, answers(id, 1));
    const { text } = await walker.get(`${QUIZ}/${id}`);
    const [right, wrong] = attempt(id).asked;
    expect(text).not.toContain(escaped(right?.explanation ?? ''));
    expect(text).toContain(wrong?.explanation);
    expect(text).toContain(`<b>${wrong?.answers[0]}</b>`);
    expect(text).toContain(wrong?.answers[wrong.chosen ?? 0]);
    expect(text).toContain('href="/handbook/the-day"');
  });

  it('refuses what is not answered, and keeps every answer that was given', async () => {
    const id = await start();
    const { q4: _, q9: __, ...some } = answers(id, 10);
    const refused = await walker.post(`${QUIZ}/${id}`, { ...some, q9: '7' });
    expect(refused.status).toBe(422);
    expect(refused.text).toMatch(/<title>Error: /);
    expect(refused.text).toContain('Two things to mend');
    expect(refused.text).toContain('href="#q4"');
    expect(refused.text).toContain('id="q4"');
    expect(refused.text).toContain('Question 9: Choose an answer.');
    const { csrf: ___, ...kept } = formFields(refused.text);
    expect(kept).toEqual(some);
    expect(attempt(id).endedAt).toBe(null);
  });

  it('keeps the first answers when they are sent again, be they the same or others', async () => {
    const id = await start();
    await walker.post(`${QUIZ}/${id}`, answers(id, 6));
    const shown = (await walker.get(`${QUIZ}/${id}`)).text;
    site.clock.now += 1000;
    for (const fields of [answers(id, 6), answers(id, 10), {}]) {
      const again = await walker.post(`${QUIZ}/${id}`, fields);
      expect([again.status, again.headers.location]).toEqual([303, `${QUIZ}/${id}`]);
    }
    expect(attempt(id)).toMatchObject({ rightCount: 6, passed: false, endedAt: NOON });
    expect((await walker.get(`${QUIZ}/${id}`)).text).toBe(shown);
  });

  it("is somebody's own: another's attempt is not there", async () => {
    const id = await start();
    const other = cast.browser('other walker');
    await other.get(QUIZ);
    expect((await other.get(`${QUIZ}/${id}`)).status).toBe(404);
    expect((await other.post(`${QUIZ}/${id}`, answers(id, 10))).status).toBe(404);
    expect((await cast.browser('coordinator').get(`${QUIZ}/${id}`)).status).toBe(404);
    expect(attempt(id).endedAt).toBe(null);
    expect(await start(other)).not.toBe(id);
    for (const odd of ['0', '-1', '01', '1e1', 'x', '99999999999999']) expect((await walker.get(`${QUIZ}/${odd}`)).status).toBe(404);
  });
});

describe('an attempt under way', () => {
  it('keeps the questions it asks, though they are retired or changed meanwhile', async () => {
    const [first = 0, second = 0] = layBank(site, 2);
    const id = await start();
    const by = { personId: cast.ids.coordinator, now: site.clock.now };
    const changed = { page: 'the-day', question: 'Changed?', answers: ['no', 'yes'], rightAnswer: 1, explanation: 'Changed.' };
    site.db.write((tx) => {
      retireQuestion(tx, first, by);
      keepQuestion(tx, changed, second, by);
    });
    const { text } = await walker.get(`${QUIZ}/${id}`);
    expect(text).toContain('Question 1?');
    expect(text).toContain('Question 2?');
    expect(text).not.toContain('Changed?');
    await walker.post(`${QUIZ}/${id}`, answers(id, 2));
    expect(attempt(id)).toMatchObject({ rightCount: 2, passed: true });
    expect(attempt(await start()).asked.map((one) => one.question)).toEqual(['Changed?']);
  });

  it('keeps the pass mark of its day', async () => {
    site.db.write((tx) => saveSettings(tx, { quizPassPercent: 50 }));
    const id = await start();
    site.db.write((tx) => saveSettings(tx, { quizPassPercent: 100, quizQuestions: 3 }));
    expect((await walker.get(`${QUIZ}/${id}`)).text).toContain('<b>5 of 10</b>');
    await walker.post(`${QUIZ}/${id}`, answers(id, 5));
    expect(attempt(id)).toMatchObject({ passed: true, passPercent: 50 });
    expect((await walker.get(`${QUIZ}/${id}`)).text).toContain('5 are needed');
  });
});

describe('a small bank', () => {
  it('asks all it has, and says so', async () => {
    layBank(site, 3);
    const { text } = await walker.get(QUIZ);
    expect(text).toContain('3 questions on');
    expect(text).toContain('<b>3 right</b>');
    expect(text).toContain('The bank has no more than these 3 questions for now.');
    const id = await start();
    expect(attempt(id).asked.length).toBe(3);
    await walker.post(`${QUIZ}/${id}`, answers(id, 2));
    expect(attempt(id).passed).toBe(false);
  });

  it('that is empty starts nothing, and says whom to ask', async () => {
    site.db.write((tx) => tx.delete(quizQuestions).run());
    expect((await walker.get(QUIZ)).text).toContain('The quiz has no questions yet.');
    const answer = await walker.post(QUIZ);
    expect([answer.status, answer.headers.location]).toEqual([303, QUIZ]);
    expect(quizState(site.db.q, cast.ids.walker)).toEqual({ passedAt: null, open: null, last: null });
  });
});

function escaped(text: string): string {
  return text
    .replaceAll('&', '&amp;')
    .replaceAll('<', '&lt;')
    .replaceAll('>', '&gt;')
    .replaceAll('"', '&quot;')
    .replaceAll("'", '&#x27;')
    .replaceAll('=', '&#x3D;');
}
