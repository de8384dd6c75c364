import { beforeEach, describe, expect, it } from 'vitest';
import { bank, question } from '../../server/quiz/bank-store.js';
import { SAMPLE_QUESTIONS } from '../../server/quiz/samples.js';
import { endAttempt, ownAttempt } from '../../server/quiz/store.js';
import { saveSettings } from '../../server/settings/store.js';
import { openSite, type TestSite } from '../support/app.js';
import type { Browser } from '../support/browser.js';
import { type Cast, layCast } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { layAttempt, layBank } from '../support/quiz.js';

const BANK = '/coordinate/quiz';
const FIELDS = {
  page: 'the-day',
  question: 'Who walks <last>?',
  answer1: '',
  answer2: 'The leader',
  answer3: 'The back marker',
  answer4: '',
  answer5: '',
  right: '3',
  explanation: 'So that nobody\nfalls behind unseen.',
};

/** How many questions come with the program: their numbers are 1 to this. */
const SAMPLES = SAMPLE_QUESTIONS.length;

let site: TestSite;
let cast: Cast;
let coordinator: Browser;
beforeEach(async () => {
  site = await openSite();
  cast = layCast(site);
  coordinator = cast.browser('coordinator');
  await coordinator.get(BANK);
});

const newest = () => Math.max(...bank(site.db.q).map((row) => row.id));

async function saved(path: string, fields: Record<string, string> = FIELDS): Promise<void> {
  const answer = await coordinator.post(path, fields);
  expect([answer.status, answer.headers.location]).toEqual([303, `${BANK}?saved=1`]);
}

describe('a question', () => {
  it('is kept as it was typed, without the empty answers, and written down', async () => {
    await saved(`${BANK}/new`);
    expect(question(site.db.q, newest())).toMatchObject({
      page: 'the-day',
      question: 'Who walks <last>?',
      answers: ['The leader', 'The back marker'],
      rightAnswer: 1,
      explanation: FIELDS.explanation,
      byName: 'Cora Danner',
      retiredAt: null,
    });
    expect(site.db.raw.prepare('SELECT action, subject FROM audit_log ORDER BY id DESC LIMIT 1').get()).toEqual({
      action: 'wrote a quiz question',
      subject: `quiz:${newest()}`,
    });
    expect((await coordinator.get(BANK)).text).toContain('Who walks &lt;last&gt;?');
  });

  it.each([
    ['page', { page: 'nowhere' }],
    ['page', { page: '' }],
    ['question', { question: '' }],
    ['question', { question: 'x'.repeat(301) }],
    ['answer2', { answer2: 'x'.repeat(201) }],
    ['right', { answer2: '' }],
    ['right', { answer2: 'the BACK marker' }],
    ['right', { right: '' }],
    ['right', { right: '1' }],
    ['right', { right: '6' }],
    ['explanation', { explanation: '' }],
    ['explanation', { explanation: 'x'.repeat(801) }],
  ])('is refused at its %s: %o', async (field, wrong) => {
    const fields = { ...FIELDS, ...wrong };
    for (const path of [`${BANK}/new`, `${BANK}/1`]) {
      const answer = await coordinator.post(path, fields);
      expect(answer.status).toBe(422);
      expect(answer.text).toContain(`href="#${field}"`);
      expect(answer.text).toContain(`id="${field}"`);
      expect(formFields(answer.text)).toMatchObject({
        question: fields.question,
        answer3: fields.answer3,
        explanation: fields.explanation,
      });
    }
    expect(newest()).toBe(SAMPLES);
  });

  it.each([
    ['question', 300],
    ['answer2', 200],
    ['explanation', 800],
  ])('may have a %s of %i characters', async (field, most) => {
    await saved(`${BANK}/new`, { ...FIELDS, [field]: 'x'.repeat(most) });
  });

  it('that is edited becomes a new one, and the old wording can still be read', async () => {
    await saved(`${BANK}/1`);
    const next = newest();
    expect(question(site.db.q, 1)).toMatchObject({ retiredAt: site.clock.now, retiredByName: 'Cora Danner' });
    expect(bank(site.db.q).map((row) => row.id)).not.toContain(1);
    const old = await coordinator.get(`${BANK}/1`);
    expect(old.status).toBe(200);
    expect(old.text).toContain('An earlier wording');
    await saved(`${BANK}/${next}`, { ...FIELDS, question: 'Who?' });
    expect((await coordinator.get(`${BANK}/1`)).text).toContain(`href="${BANK}/${newest()}"`);
  });

  it('saved without a change stays the same one', async () => {
    const { csrf: _, ...fields } = formFields((await coordinator.get(`${BANK}/1`)).text) as Record<string, string>;
    await saved(`${BANK}/1`, fields);
    expect(question(site.db.q, 1)).toMatchObject({ retiredAt: null });
    expect(newest()).toBe(SAMPLES);
  });

  it('edited by two at once: the second is told, sees what the first wrote, and may save over it', async () => {
    await saved(`${BANK}/1`);
    const theirs = newest();
    const mine = { ...FIELDS, question: 'Mine?' };
    const refused = await coordinator.post(`${BANK}/1`, mine);
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('The question was changed by Cora Danner while you were writing.');
    expect(refused.text).toContain('<b>Who walks &lt;last&gt;?</b>');
    expect(formFields(refused.text)).toMatchObject(mine);
    expect(refused.text).toContain(`action="${BANK}/${theirs}"`);
    expect(newest()).toBe(theirs);
    await saved(`${BANK}/${theirs}`, mine);
    expect(question(site.db.q, newest())?.question).toBe('Mine?');
  });

  it('retired while it was edited: what was typed is kept, and can be saved as a new one', async () => {
    await coordinator.post(`${BANK}/1/retire`);
    const refused = await coordinator.post(`${BANK}/1`, FIELDS);
    expect(refused.status).toBe(422);
    expect(refused.text).toContain('The question was taken out of use by Cora Danner while you were writing.');
    expect(refused.text).toContain(`action="${BANK}/new"`);
    expect(formFields(refused.text)).toMatchObject(FIELDS);
    expect(newest()).toBe(SAMPLES);
  });

  it('out of use is drawn no more, can be retired twice, and brought back as a new one', async () => {
    const first = await coordinator.post(`${BANK}/1/retire`);
    expect([first.status, first.headers.location]).toEqual([303, `${BANK}?retired=1`]);
    const again = await coordinator.post(`${BANK}/1/retire`);
    expect([again.status, again.headers.location]).toEqual([303, `${BANK}/1`]);
    expect(bank(site.db.q).map((row) => row.id)).not.toContain(1);
    expect((await coordinator.get(BANK)).text).toContain('Out of use, the latest first');
    const shown = await coordinator.get(`${BANK}/1`);
    expect(shown.text).toContain(`href="${BANK}/new?from=1"`);
    const fields = formFields((await coordinator.get(`${BANK}/new?from=1`)).text);
    expect(fields.question).toBe(question(site.db.q, 1)?.question);
  });

  it.each(['0', 'x', '1.5', '999', '99999999999999'])('%s is not there', async (id) => {
    expect((await coordinator.get(`${BANK}/${id}`)).status).toBe(404);
    expect((await coordinator.post(`${BANK}/${id}`, FIELDS)).status).toBe(404);
    expect((await coordinator.post(`${BANK}/${id}/retire`)).status).toBe(404);
  });
});

describe('the list', () => {
  it('says how often each question was answered, and how often wrongly', async () => {
    layBank(site, 2);
    for (const [walker, wrong] of [
      ['walker', 1],
      ['other walker', 2],
    ] as const) {
      const attempt = ownAttempt(site.db.q, cast.ids[walker], layAttempt(site, cast.ids[walker]));
      if (!attempt) throw new Error('it was just laid');
      const chosen = new Map(attempt.asked.map((one) => [one.place, Number(one.question.slice(9, 10)) <= wrong ? 1 : 0]));
      site.db.write((tx) => endAttempt(tx, attempt, chosen, site.clock.now));
    }
    layAttempt(site, cast.ids.leader);
    expect(bank(site.db.q).map(({ question: words, answered, wrong }) => [words, answered, wrong])).toEqual([
      ['Question 1?', 2, 2],
      ['Question 2?', 2, 1],
    ]);
    const { text } = await coordinator.get(BANK);
    expect(text).toContain('2 of 2 wrong (100%)');
    expect(text).toContain('1 of 2 wrong (50%)');
    expect(text).toContain('No question on this page yet.');
  });

  it('warns where there are fewer questions than an attempt asks', async () => {
    layBank(site, 3);
    site.db.write((tx) => saveSettings(tx, { quizQuestions: 4 }));
    expect((await coordinator.get(BANK)).text).toContain('Fewer questions than an attempt asks');
    site.db.write((tx) => saveSettings(tx, { quizQuestions: 3 }));
    expect((await coordinator.get(BANK)).text).not.toContain('Fewer questions than an attempt asks');
  });

  it('keeps showing a question whose handbook page is gone, and the quiz asks it without a link', async () => {
    layBank(site, 1, 'a-page-of-old');
    expect((await coordinator.get(BANK)).text).toContain('On pages that the handbook no longer has');
    expect((await coordinator.get(`${BANK}/${newest()}`)).status).toBe(200);
  });
});
