import type { Locator, Page } from 'playwright-core';
import { signInToken } from '../../server/people/links.js';
import type { DemoSite } from './demo-site.js';

/** Someone new on their way to leading: what they do is shown to `seen` step by step. */
export interface Way {
  email: string;
  name: string;
  seen: (step: string, page: Page) => Promise<void>;
}

const DAY_MS = 86_400_000;

/** Presses what leads to another page, and waits until that is there: a second press must not meet the old one. */
export async function follow(page: Page, to: Locator): Promise<void> {
  await page.evaluate("document.documentElement.setAttribute('data-old', '')");
  await to.click();
  await page.locator('html:not([data-old])').waitFor();
  await page.waitForLoadState();
}

/** From applying to the first posted walk, each in a window of their own: the applicant, and the coordinator who approves. Gives the walk's page. */
export async function fromApplyingToPosting(demo: DemoSite, { email, name, seen }: Way, applicant: Page, coordinator: Page): Promise<void> {
  await apply(demo, { email, name, seen }, applicant);
  await readHandbook(applicant, seen);
  await passQuiz(demo, applicant, seen);
  await signAgreement(applicant, name, seen);
  await approve(coordinator, name, seen);
  await postFirstWalk(demo, { email, name, seen }, applicant);
}

async function apply(demo: DemoSite, { email, name, seen }: Way, page: Page): Promise<void> {
  await page.goto('/lead/join');
  await seen('what leading is', page);
  await follow(page, page.getByRole('link', { name: 'Sign in and apply' }));
  await signIn(demo, email, page);
  const fields = {
    name,
    phone: '(202) 555-0164',
    why: 'I have walked with you for two seasons, and would like to give some of it back.',
    longest: '9',
  };
  for (const [field, value] of Object.entries(fields)) await page.fill(`#${field}`, value);
  await page.selectOption('#area', { label: 'Millbrook' });
  await page.getByRole('checkbox', { name: 'Saturday' }).check();
  await page.getByRole('checkbox', { name: 'Sunday' }).check();
  await seen('apply', page);
  await follow(page, page.getByRole('button', { name: 'Send the application' }));
  await seen('steps', page);
}

/** From the sign-in page, by the link that is mailed. */
async function signIn(demo: DemoSite, email: string, page: Page): Promise<void> {
  await page.fill('#email', email);
  await follow(page, page.getByRole('button', { name: 'Mail me a link' }));
  const link = demo.db.raw
    .prepare('SELECT id FROM sign_in_links WHERE email = ? ORDER BY created_at DESC LIMIT 1')
    .pluck()
    .get(email) as number;
  await page.goto(`/sign-in/${signInToken(demo.services.sealer, link)}`);
  await follow(page, page.getByRole('button', { name: /^Sign in as/ }));
}

async function readHandbook(page: Page, seen: Way['seen']): Promise<void> {
  await page.goto('/handbook');
  await follow(page, page.getByRole('link', { name: /^Begin:/ }));
  await seen('handbook', page);
  for (let left = 7; left > 0; left -= 1) await follow(page, page.getByRole('button', { name: 'I have read this page' }));
  await follow(page, page.getByRole('link', { name: 'Quiz on these pages' }));
}

/** Fails it first, by the wrong answer to each question, and then gives the right ones. */
async function passQuiz(demo: DemoSite, page: Page, seen: Way['seen']): Promise<void> {
  await seen('before the quiz', page);
  await follow(page, page.getByRole('button', { name: 'Start' }));
  await seen('quiz', page);
  await answerAll(demo, page, false);
  await seen('quiz not passed', page);
  await follow(page, page.getByRole('button', { name: 'Try again' }));
  await answerAll(demo, page, true);
  await seen('quiz passed', page);
  await follow(page, page.getByRole('link', { name: 'The steps to leading' }));
}

async function answerAll(demo: DemoSite, page: Page, rightly: boolean): Promise<void> {
  const right = demo.db.raw.prepare('SELECT question, answers ->> right_answer AS answer FROM quiz_questions').all() as {
    question: string;
    answer: string;
  }[];
  for (const asked of await page.locator('fieldset.question').all()) {
    const words = ((await asked.locator('legend').textContent()) ?? '').replace(/^\d+\. /, '');
    const answer = right.find((one) => one.question === words)?.answer;
    const choices = await asked.locator('label.choice').all();
    for (const choice of choices) {
      if (((await choice.textContent())?.trim() === answer) !== rightly) continue;
      await choice.locator('input').check();
      break;
    }
  }
  await follow(page, page.getByRole('button', { name: 'Send the answers' }));
}

async function signAgreement(page: Page, name: string, seen: Way['seen']): Promise<void> {
  await follow(page, page.getByRole('link', { name: /agreement/ }).first());
  await page.fill('#signature', name);
  await page.check('#agree');
  await seen('agreement', page);
  await follow(page, page.getByRole('button', { name: 'Sign', exact: true }));
  await page.goto('/lead/join');
  await seen('all steps done', page);
}

async function approve(page: Page, name: string, seen: Way['seen']): Promise<void> {
  await page.goto('/coordinate/applications');
  await seen('applications', page);
  await follow(page, page.getByRole('link', { name }));
  await seen('application', page);
  await follow(page, page.getByRole('button', { name: 'Approve' }));
}

/** Whoever becomes a leader is signed out, and comes in again as one. */
async function postFirstWalk(demo: DemoSite, { email, seen }: Way, page: Page): Promise<void> {
  await page.goto('/lead');
  await signIn(demo, email, page);
  await seen('a new leader', page);
  await page.goto('/lead/walks/new');
  const fields = {
    date: new Date(Date.now() + 30 * DAY_MS).toISOString().slice(0, 10),
    gather: '09:15',
    setOff: '09:30',
    meetingPoint: 'Mill green',
    landmark: 'by the bandstand steps',
    routeName: 'Millrace round',
    locality: 'Millbrook',
    distance: '3',
    capacity: '12',
  };
  for (const [field, value] of Object.entries(fields)) await page.fill(`#${field}`, value);
  await follow(page, page.getByRole('button', { name: 'Post the walk' }));
  await seen('the first walk', page);
}
