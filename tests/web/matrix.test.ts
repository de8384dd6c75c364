import Fastify from 'fastify';
import { describe, expect, it } from 'vitest';
import { signUpToken } from '../../server/signups/link.js';
import { keepSignUp } from '../../server/signups/store.js';
import { guardRoutes } from '../../server/web/access.js';
import { openSite, type TestSite } from '../support/app.js';
import { askFor } from '../support/ask.js';
import type { Browser } from '../support/browser.js';
import { layCast, VISITORS } from '../support/cast.js';
import { askedToken } from '../support/offer.js';
import { layAttempt } from '../support/quiz.js';
import { absentToken, signUpForm, withAbsent } from '../support/sign-up.js';

/**
 * What each visitor gets from each route: a status, or "in" for a 303 to /sign-in. One row a route; the order is that of VISITORS:
 * nobody, walker, other walker, leader, other leader, co-leader, coordinator.
 */
type Answer = number | 'in';
type Row = [Answer, Answer, Answer, Answer, Answer, Answer, Answer];

const everyone = (status: number): Row => [status, status, status, status, status, status, status];
const SIGNED_IN: Row = ['in', 200, 200, 200, 200, 200, 200];
const LEADERS: Row = ['in', 403, 403, 200, 200, 200, 403];
/** Of a note about a route that is not there: whoever leads or coordinates is told so. */
const LEADING_404: Row = ['in', 403, 403, 404, 404, 404, 404];
const COORDINATOR: Row = ['in', 403, 403, 403, 403, 403, 200];
/** Of an application that is not there. */
const APPLICATION: Row = ['in', 403, 403, 403, 403, 403, 404];
const WALK_LEADERS: Row = ['in', 403, 403, 200, 403, 200, 200];
const DRAFT_LEADERS: Row = ['in', 404, 404, 200, 404, 200, 200];

const posted = (row: Row, status = 303): Row => row.map((answer) => (answer === 200 ? status : answer)) as Row;

/** Rows by "METHOD pattern"; `path` where the pattern has parameters. */
const MATRIX: Record<string, { row: Row; path?: string; fields?: Record<string, string> }> = {
  'GET /': { row: everyone(200) },
  'GET /walks.json': { row: everyone(200) },
  'GET /feed.atom': { row: everyone(200) },
  'GET /calendar.ics': { row: everyone(200) },
  'GET /walks/:walk': { row: everyone(200), path: '/walks/WALK' },
  'GET /walks/:walk/route.gpx': { row: everyone(404), path: '/walks/WALK/route.gpx' },
  'GET /walks/:walk(^\\d+).ics': { row: everyone(200), path: '/walks/WALK.ics' },
  'GET /walks/:walk/sign-up': { row: everyone(200), path: '/walks/WALK/sign-up' },
  'POST /walks/:walk/sign-up': { row: everyone(422), path: '/walks/WALK/sign-up' },
  'GET /sign-ups/:token': { row: everyone(200), path: '/sign-ups/TOKEN' },
  'POST /sign-ups/:token': { row: everyone(422), path: '/sign-ups/TOKEN' },
  'POST /sign-ups/:token/withdraw': { row: everyone(303), path: '/sign-ups/TOKEN/withdraw' },
  'POST /sign-ups/:token/proof': { row: everyone(303), path: '/sign-ups/TOKEN/proof' },
  'POST /sign-ups/:token/ask': { row: everyone(303), path: '/sign-ups/TOKEN/ask' },
  'GET /waivers/:token': { row: everyone(200), path: '/waivers/ABSENT' },
  'POST /waivers/:token': { row: everyone(422), path: '/waivers/ABSENT' },
  'POST /waivers/:token/leave': { row: everyone(200), path: '/waivers/ABSENT/leave' },
  'GET /monthly-mail/:token': { row: everyone(404), path: '/monthly-mail/unknown' },
  'POST /monthly-mail/:token': { row: everyone(404), path: '/monthly-mail/unknown' },
  'GET /areas': { row: everyone(200) },
  'GET /plan': { row: everyone(200) },
  'GET /plan.ics': { row: everyone(200) },
  'GET /areas/:area': { row: everyone(200), path: '/areas/lantern-hills' },
  'GET /rules': { row: everyone(200) },
  'GET /rules/:version': { row: everyone(200), path: '/rules/1' },
  'GET /waiver': { row: everyone(200) },
  'GET /waiver/:version': { row: everyone(200), path: '/waiver/1' },
  'GET /cautions': { row: everyone(200) },
  'GET /health': { row: everyone(200) },
  'GET /roll-worker.js': { row: everyone(200) },
  'GET /ready': { row: everyone(200) },
  'GET /sign-in': { row: [200, 303, 303, 303, 303, 303, 303] },
  'POST /sign-in': { row: everyone(422) },
  'GET /sign-in/:token': { row: everyone(404), path: '/sign-in/unknown' },
  'POST /sign-in/:token': { row: everyone(404), path: '/sign-in/unknown' },
  'POST /sign-out': { row: everyone(303) },
  'POST /sign-out-everywhere': { row: posted(SIGNED_IN) },
  'GET /me': { row: SIGNED_IN },
  'GET /me/log': { row: SIGNED_IN },
  'GET /me.json': { row: SIGNED_IN },
  'POST /me': { row: posted(SIGNED_IN, 422) },
  'GET /privacy': { row: everyone(200) },
  'GET /me/waivers/:waiver': { row: ['in', 200, 404, 404, 404, 404, 404], path: '/me/waivers/1' },
  'POST /me/export': { row: SIGNED_IN },
  'GET /me/erase': { row: SIGNED_IN },
  'POST /me/erase': { row: posted(SIGNED_IN, 422) },
  'GET /me/erased': { row: everyone(200) },
  'GET /first-run': { row: everyone(404) },
  'POST /first-run': { row: everyone(404) },
  'GET /lead': { row: LEADERS },
  'GET /lead/calendar': { row: LEADERS },
  'POST /lead/calendar/new': { row: posted(LEADERS) },
  'POST /lead/calendar/off': { row: posted(LEADERS) },
  'GET /lead/calendar/:token(^[\\w-]+).ics': { row: everyone(404), path: '/lead/calendar/unknown.ics' },
  'GET /lead/commitment': { row: LEADERS },
  'GET /lead/commitment/pledge': { row: posted(LEADERS) },
  'GET /lead/commitment/excuse': { row: posted(LEADERS) },
  'GET /lead/commitment/excuse/back': { row: posted(LEADERS) },
  'GET /lead/commitment/mails': { row: posted(LEADERS) },
  'POST /lead/commitment/pledge': { row: posted(LEADERS, 422) },
  'POST /lead/commitment/excuse': { row: posted(LEADERS, 422) },
  'POST /lead/commitment/excuse/back': { row: posted(LEADERS) },
  'POST /lead/commitment/mails': { row: posted(LEADERS) },
  'GET /lead/join': { row: everyone(200) },
  'GET /lead/join/answer': { row: posted(SIGNED_IN) },
  'GET /lead/join/apply/withdraw': { row: posted(SIGNED_IN) },
  'POST /lead/join/answer': { row: posted(SIGNED_IN) },
  // Whoever leads already is sent to the page that says so; so is whoever would sign without having applied.
  'GET /lead/join/apply': { row: ['in', 200, 200, 303, 303, 303, 200] },
  'POST /lead/join/apply': { row: ['in', 422, 422, 303, 303, 303, 422] },
  'POST /lead/join/apply/withdraw': { row: posted(SIGNED_IN) },
  'GET /lead/join/agreement': { row: ['in', 303, 303, 200, 200, 200, 303] },
  'POST /lead/join/agreement': { row: ['in', 303, 303, 422, 422, 422, 303] },
  'GET /lead/about': { row: LEADERS },
  'POST /lead/about': { row: posted(LEADERS, 422) },
  'GET /lead/about/leave': { row: LEADERS },
  'POST /lead/about/leave': { row: posted(LEADERS) },
  'GET /lead/notes': { row: LEADERS },
  'POST /lead/notes': { row: posted(LEADERS, 422) },
  'GET /lead/notes/:note': { row: LEADERS.map((answer) => (answer === 200 ? 404 : answer)) as Row, path: '/lead/notes/1' },
  'POST /lead/notes/:note': { row: posted(LEADERS), path: '/lead/notes/1', fields: { intent: 'delete' } },
  'GET /lead/walks/new': { row: LEADERS },
  'POST /lead/walks/new': { row: posted(LEADERS, 422) },
  'GET /lead/walks/:walk': { row: WALK_LEADERS, path: '/lead/walks/WALK' },
  'GET /lead/walks/:walk/edit': { row: WALK_LEADERS, path: '/lead/walks/WALK/edit' },
  'POST /lead/walks/:walk/edit': { row: posted(WALK_LEADERS, 422), path: '/lead/walks/WALK/edit' },
  'GET /lead/walks/:walk/cancel': { row: WALK_LEADERS, path: '/lead/walks/WALK/cancel' },
  'POST /lead/walks/:walk/cancel': { row: posted(WALK_LEADERS, 422), path: '/lead/walks/WALK/cancel' },
  'GET /lead/walks/:walk/repeat': { row: ['in', 403, 403, 200, 403, 200, 403], path: '/lead/walks/WALK/repeat' },
  'POST /lead/walks/:walk/repeat': { row: ['in', 403, 403, 422, 403, 422, 403], path: '/lead/walks/WALK/repeat' },
  'GET /lead/walks/:walk/pack': { row: WALK_LEADERS, path: '/lead/walks/WALK/pack' },
  'GET /lead/walks/:walk/roll': { row: WALK_LEADERS, path: '/lead/walks/WALK/roll' },
  // The roll is not open yet; who may write on an open one is in tests/day/sync.test.ts.
  'POST /lead/walks/:walk/roll': { row: ['in', 403, 403, 403, 403, 403, 403], path: '/lead/walks/WALK/roll' },
  'POST /lead/walks/:walk/pack': { row: posted(WALK_LEADERS), path: '/lead/walks/WALK/pack', fields: { part: 'way' } },
  'GET /lead/walks/:walk/pack/contacts': { row: posted(WALK_LEADERS), path: '/lead/walks/WALK/pack/contacts' },
  // Closed before the window, and to a coordinator always.
  'POST /lead/walks/:walk/pack/contacts': { row: ['in', 403, 403, 403, 403, 403, 403], path: '/lead/walks/WALK/pack/contacts' },
  // The walk has not set off.
  'GET /lead/walks/:walk/close': { row: posted(WALK_LEADERS, 409), path: '/lead/walks/WALK/close' },
  'POST /lead/walks/:walk/close': { row: posted(WALK_LEADERS, 409), path: '/lead/walks/WALK/close' },
  'GET /lead/hazards/:hazard': { row: LEADING_404, path: '/lead/hazards/999' },
  'POST /lead/hazards/:hazard': { row: LEADING_404, path: '/lead/hazards/999' },
  'GET /lead/walks/:walk/contacts': { row: WALK_LEADERS, path: '/lead/walks/WALK/contacts' },
  // A leader is refused before the window, whatever is sent; a coordinator must choose one person and say what happened.
  'POST /lead/walks/:walk/contacts': { row: ['in', 403, 403, 403, 403, 403, 422], path: '/lead/walks/WALK/contacts' },
  'POST /me/contacts/:kept/forget': { row: posted(SIGNED_IN), path: '/me/contacts/1/forget' },
  'GET /lead/walks/:walk/roll/turned-up': { row: WALK_LEADERS, path: '/lead/walks/WALK/roll/turned-up' },
  // Before the window nobody can be added, nothing is opened and nothing has happened.
  'POST /lead/walks/:walk/roll/turned-up': { row: posted(WALK_LEADERS, 409), path: '/lead/walks/WALK/roll/turned-up' },
  'GET /lead/walks/:walk/roll/turned-up/:key': { row: posted(WALK_LEADERS, 404), path: '/lead/walks/WALK/roll/turned-up/unknown-key' },
  'POST /lead/walks/:walk/roll/turned-up/:key': { row: posted(WALK_LEADERS, 404), path: '/lead/walks/WALK/roll/turned-up/unknown-key' },
  'GET /lead/walks/:walk/roll/help': { row: WALK_LEADERS, path: '/lead/walks/WALK/roll/help' },
  'POST /lead/walks/:walk/roll/help': { row: posted(WALK_LEADERS, 403), path: '/lead/walks/WALK/roll/help' },
  'GET /lead/walks/:walk/incidents': { row: WALK_LEADERS, path: '/lead/walks/WALK/incidents' },
  'GET /lead/walks/:walk/incidents/new': { row: WALK_LEADERS, path: '/lead/walks/WALK/incidents/new' },
  'POST /lead/walks/:walk/incidents/new': { row: posted(WALK_LEADERS, 409), path: '/lead/walks/WALK/incidents/new' },
  'GET /lead/walks/:walk/incidents/:incident': { row: posted(WALK_LEADERS, 404), path: '/lead/walks/WALK/incidents/999' },
  'POST /lead/walks/:walk/incidents/:incident': { row: posted(WALK_LEADERS, 404), path: '/lead/walks/WALK/incidents/999' },
  'GET /lead/walks/:walk/waivers': { row: WALK_LEADERS, path: '/lead/walks/WALK/waivers' },
  'POST /lead/walks/:walk/waivers': { row: posted(WALK_LEADERS, 422), path: '/lead/walks/WALK/waivers' },
  'GET /lead/walks/:walk/waivers/print': { row: WALK_LEADERS, path: '/lead/walks/WALK/waivers/print' },
  'GET /lead/walks/:walk/weather': { row: WALK_LEADERS, path: '/lead/walks/WALK/weather' },
  'POST /lead/walks/:walk/weather': { row: posted(WALK_LEADERS, 422), path: '/lead/walks/WALK/weather' },
  'GET /lead/walks/:walk/message': { row: WALK_LEADERS, path: '/lead/walks/WALK/message' },
  'POST /lead/walks/:walk/message': { row: posted(WALK_LEADERS, 422), path: '/lead/walks/WALK/message' },
  'POST /lead/walks/:walk/notices/:notice/again': { row: posted(WALK_LEADERS), path: '/lead/walks/WALK/notices/1/again' },
  'GET /lead/walks/:walk/together': { row: WALK_LEADERS, path: '/lead/walks/WALK/together' },
  // Who shares a walk may step back, and no more.
  'POST /lead/walks/:walk/together': { row: ['in', 403, 403, 422, 403, 403, 422], path: '/lead/walks/WALK/together' },
  'GET /offers/:token': { row: everyone(200), path: '/offers/OFFER' },
  'POST /offers/:token': { row: everyone(422), path: '/offers/OFFER' },
  'GET /handbook': { row: everyone(200) },
  'GET /handbook/:page': { row: everyone(200), path: '/handbook/the-day' },
  'POST /handbook/:page/read': { row: posted(SIGNED_IN), path: '/handbook/the-day/read' },
  'GET /lead/join/quiz': { row: SIGNED_IN },
  'POST /lead/join/quiz': { row: posted(SIGNED_IN) },
  // An attempt of the walker's.
  'GET /lead/join/quiz/:attempt': { row: ['in', 200, 404, 404, 404, 404, 404], path: '/lead/join/quiz/1' },
  'POST /lead/join/quiz/:attempt': { row: ['in', 422, 404, 404, 404, 404, 404], path: '/lead/join/quiz/1' },
  'GET /coordinate': { row: COORDINATOR },
  'POST /coordinate/seen': { row: posted(COORDINATOR) },
  'GET /coordinate/coverage.csv': { row: COORDINATOR },
  'GET /coordinate/proposals': { row: COORDINATOR },
  'POST /coordinate/proposals': { row: posted(COORDINATOR, 422) },
  'GET /asks/:token': { row: everyone(200), path: '/asks/ASK' },
  'POST /asks/:token': { row: everyone(303), path: '/asks/ASK' },
  'GET /coordinate/quiz': { row: COORDINATOR },
  'GET /coordinate/quiz/new': { row: COORDINATOR },
  'POST /coordinate/quiz/new': { row: posted(COORDINATOR, 422) },
  'GET /coordinate/quiz/:question': { row: COORDINATOR, path: '/coordinate/quiz/1' },
  'POST /coordinate/quiz/:question': { row: posted(COORDINATOR, 422), path: '/coordinate/quiz/1' },
  'POST /coordinate/quiz/:question/retire': { row: posted(COORDINATOR), path: '/coordinate/quiz/1/retire' },
  'GET /coordinate/leaders': { row: COORDINATOR },
  'GET /coordinate/leaders.csv': { row: COORDINATOR },
  'GET /coordinate/leaders/:person': { row: COORDINATOR, path: '/coordinate/leaders/4' },
  'GET /coordinate/leaders/:person/pledge': { row: posted(COORDINATOR), path: '/coordinate/leaders/4/pledge' },
  'GET /coordinate/leaders/:person/excuse': { row: posted(COORDINATOR), path: '/coordinate/leaders/4/excuse' },
  'GET /coordinate/leaders/:person/excuse/back': { row: posted(COORDINATOR), path: '/coordinate/leaders/4/excuse/back' },
  'GET /coordinate/leaders/:person/back': { row: posted(COORDINATOR), path: '/coordinate/leaders/4/back' },
  'GET /coordinate/leaders/:person/stand-down': { row: posted(COORDINATOR), path: '/coordinate/leaders/4/stand-down' },
  'POST /coordinate/leaders/:person/pledge': { row: posted(COORDINATOR, 422), path: '/coordinate/leaders/4/pledge' },
  'POST /coordinate/leaders/:person/excuse': { row: posted(COORDINATOR, 422), path: '/coordinate/leaders/4/excuse' },
  'POST /coordinate/leaders/:person/excuse/back': { row: posted(COORDINATOR), path: '/coordinate/leaders/4/excuse/back' },
  'POST /coordinate/leaders/:person/back': { row: posted(COORDINATOR), path: '/coordinate/leaders/4/back' },
  'POST /coordinate/leaders': { row: posted(COORDINATOR, 422) },
  'POST /coordinate/leaders/:person/stand-down': { row: posted(COORDINATOR), path: '/coordinate/leaders/999/stand-down' },
  'GET /coordinate/applications': { row: COORDINATOR },
  'GET /coordinate/applications/:application': { row: APPLICATION, path: '/coordinate/applications/999' },
  'GET /coordinate/applications/:application/approve': { row: posted(COORDINATOR), path: '/coordinate/applications/999/approve' },
  'GET /coordinate/applications/:application/ask': { row: posted(COORDINATOR), path: '/coordinate/applications/999/ask' },
  'GET /coordinate/applications/:application/decline': { row: posted(COORDINATOR), path: '/coordinate/applications/999/decline' },
  'POST /coordinate/applications/:application/approve': { row: APPLICATION, path: '/coordinate/applications/999/approve' },
  'POST /coordinate/applications/:application/ask': { row: APPLICATION, path: '/coordinate/applications/999/ask' },
  'POST /coordinate/applications/:application/decline': { row: APPLICATION, path: '/coordinate/applications/999/decline' },
  'GET /coordinate/incidents': { row: COORDINATOR },
  'GET /coordinate/incidents/:incident': { row: APPLICATION, path: '/coordinate/incidents/999' },
  'POST /coordinate/incidents/:incident': { row: APPLICATION, path: '/coordinate/incidents/999' },
  'GET /coordinate/incidents/summary': { row: COORDINATOR },
  'GET /coordinate/incidents/summary.csv': { row: COORDINATOR },
  'GET /coordinate/areas': { row: COORDINATOR },
  'POST /coordinate/areas': { row: posted(COORDINATOR, 422) },
  'GET /coordinate/areas/:area': { row: COORDINATOR, path: '/coordinate/areas/lantern-hills' },
  'POST /coordinate/areas/:area': { row: posted(COORDINATOR, 422), path: '/coordinate/areas/lantern-hills' },
  'GET /coordinate/season': { row: COORDINATOR },
  'GET /coordinate/forecast': { row: COORDINATOR },
  'GET /coordinate/report': { row: COORDINATOR },
  'GET /coordinate/report.csv': { row: COORDINATOR },
  'POST /coordinate/season': { row: posted(COORDINATOR) },
  // Of a group without a plan.
  'GET /coordinate/season/:week': { row: APPLICATION, path: '/coordinate/season/2027-04-19' },
  'POST /coordinate/season/:week': { row: APPLICATION, path: '/coordinate/season/2027-04-19' },
  'GET /coordinate/texts': { row: COORDINATOR },
  'GET /coordinate/texts/:kind': { row: COORDINATOR, path: '/coordinate/texts/rules' },
  'POST /coordinate/texts/:kind': { row: posted(COORDINATOR, 422), path: '/coordinate/texts/rules' },
  'GET /coordinate/texts/:kind/:version': { row: COORDINATOR, path: '/coordinate/texts/rules/1' },
  'GET /coordinate/walkers': { row: COORDINATOR },
  'POST /coordinate/walkers': { row: posted(COORDINATOR, 422) },
  'GET /coordinate/settings': { row: COORDINATOR },
  'POST /coordinate/settings': { row: posted(COORDINATOR, 422) },
  'GET /coordinate/mail': { row: COORDINATOR },
  'GET /coordinate/mail/:notice': { row: COORDINATOR, path: '/coordinate/mail/1' },
  'POST /coordinate/mail/:notice/again': { row: posted(COORDINATOR), path: '/coordinate/mail/1/again' },
  'POST /coordinate/mail/again': { row: posted(COORDINATOR) },
  'POST /coordinate/mail/test': { row: posted(COORDINATOR) },
};

function routesOf(site: TestSite): string[] {
  return site.app.routeTable.filter((route) => !route.startsWith('HEAD ') && !route.startsWith('GET /assets/'));
}

async function ask(browser: Browser, route: string, path: string): Promise<Answer> {
  const { fields = {} } = MATRIX[route] ?? {};
  const answer = route.startsWith('GET ') ? await browser.get(path) : await browser.post(path, fields);
  return answer.status === 303 && String(answer.headers.location).startsWith('/sign-in') ? 'in' : answer.status;
}

/** The service with its cast, and something of each kind that addresses lead to. */
async function laid() {
  const site = await openSite();
  const cast = layCast(site);
  const signedUp = site.services.db.write((tx) =>
    keepSignUp(tx, site.services, cast.walkId, signUpForm({ email: 'walker@waymeet.example', members: withAbsent() })),
  );
  layAttempt(site, cast.ids.walker);
  const words = {
    WALK: String(cast.walkId),
    TOKEN: 'kept' in signedUp ? signUpToken(site.services.sealer, signedUp.kept) : '',
    ABSENT: absentToken(site),
    OFFER: askedToken(site, cast),
    ASK: askFor(site, cast).token,
  };
  const at = (path: string) => Object.entries(words).reduce((made, [word, value]) => made.replace(word, value), path);
  return { site, cast, at };
}

describe('route by visitor', () => {
  it('has a row for every route, and a route for every row', async () => {
    const site = await openSite();
    expect(Object.keys(MATRIX).sort()).toEqual(routesOf(site).sort());
  });

  it.each(Object.entries(MATRIX))('%s', async (route, { row, path }) => {
    let stage = await laid();
    for (const [index, visitor] of VISITORS.entries()) {
      const browser = stage.cast.browser(visitor);
      const before = stage.site.db.writes();
      expect([visitor, await ask(browser, route, stage.at(path ?? route.split(' ')[1] ?? ''))]).toEqual([visitor, row[index]]);
      // Each visitor finds what the first one found.
      if (stage.site.db.writes() !== before) stage = await laid();
    }
  });

  it.each(['', '/edit', '/cancel', '/pack', '/roll'])(
    "a draft's page %s is there for its leaders only, and for nobody else exists",
    async (page) => {
      const site = await openSite();
      const cast = layCast(site);
      for (const [index, visitor] of VISITORS.entries()) {
        const answer = await ask(cast.browser(visitor), 'GET /', `/lead/walks/${cast.draftId}${page}`);
        expect([visitor, answer]).toEqual([visitor, DRAFT_LEADERS[index]]);
      }
      expect((await cast.browser('nobody').get(`/walks/${cast.draftId}`)).status).toBe(404);
    },
  );

  it('refuses to start a route that does not say who may come', async () => {
    const { services } = await openSite();
    const app = Fastify();
    guardRoutes(app, services);
    expect(() => app.get('/open-door', () => 'welcome')).toThrow(/does not say who may come/);
  });
});
