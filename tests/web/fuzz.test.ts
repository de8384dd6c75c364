import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { settings } from '../../server/db/schema/index.js';
import { firstRunCode } from '../../server/people/first-run.js';
import { saveSettings } from '../../server/settings/store.js';
import { signUpToken } from '../../server/signups/link.js';
import { keepSignUp } from '../../server/signups/store.js';
import { GATHER, HOUR_MS, incidentFields, turnedUpFields } from '../day/care-stage.js';
import { openSite } from '../support/app.js';
import { layApplication } from '../support/application.js';
import { askFor } from '../support/ask.js';
import { Browser } from '../support/browser.js';
import { layCast, type VisitorName } from '../support/cast.js';
import { formFields } from '../support/fields.js';
import { layIncident } from '../support/incident.js';
import { askedToken } from '../support/offer.js';
import { layAttempt } from '../support/quiz.js';
import { absentToken, signUpFields, signUpForm, withAbsent } from '../support/sign-up.js';
import { WALK_FIELDS } from '../support/walk-fields.js';

/** Every form: who posts it, where, and fields of a right posting, some of which are then made wrong. */
interface Form {
  visitor: VisitorName;
  path: string;
  fields: Record<string, string>;
  /** Typed values that must come back when the form is refused. */
  kept: string[];
  /** When it is posted, where that is not the tests' noon. ms */
  at?: number;
}

const FORMS: Record<string, Form> = {
  'sign up': {
    visitor: 'nobody',
    path: '/walks/WALK/sign-up',
    fields: signUpFields(),
    kept: ['name', 'email', 'phone', 'members[0][contactName]', 'members[0][note]'],
  },
  'change a party': {
    visitor: 'nobody',
    path: '/sign-ups/TOKEN',
    fields: signUpFields(),
    kept: ['name', 'phone', 'members[0][contactName]'],
  },
  'change a party with a child': {
    visitor: 'nobody',
    path: '/sign-ups/TOKEN',
    fields: {
      ...signUpFields(),
      'members[1][name]': 'Kit Ferreira',
      'members[1][minor]': 'yes',
      'members[1][guardian]': '0',
      add: 'minor',
    },
    kept: ['name', 'members[1][name]'],
  },
  'somebody who turned up': {
    visitor: 'leader',
    path: '/lead/walks/WALK/roll/turned-up',
    fields: turnedUpFields(),
    kept: ['name', 'phone', 'contactName', 'contactRelation', 'contactPhone', 'note', 'email', 'signature'],
    at: GATHER + 2 * HOUR_MS,
  },
  'open an emergency contact at once': {
    visitor: 'leader',
    path: '/lead/walks/WALK/roll/help',
    fields: { who: 'm1' },
    kept: [],
    at: GATHER + 2 * HOUR_MS,
  },
  'write down an incident': {
    visitor: 'leader',
    path: '/lead/walks/WALK/incidents/new',
    fields: incidentFields(),
    kept: ['name', 'whereText', 'date', 'time', 'what', 'done', 'seenBy'],
    at: GATHER + 2 * HOUR_MS,
  },
  'change an incident': {
    visitor: 'leader',
    path: '/lead/walks/WALK/incidents/INCIDENT',
    fields: { ...incidentFields(), intent: 'change' },
    kept: [],
    at: GATHER + 2 * HOUR_MS,
  },
  'follow an incident up': {
    visitor: 'coordinator',
    path: '/coordinate/incidents/INCIDENT',
    fields: { intent: 'follow', dueOn: '2026-12-20', assigned: '', note: 'All well', outcome: 'recovered', closing: '' },
    kept: [],
    at: GATHER + 2 * HOUR_MS,
  },
  'say that a mail arrived': { visitor: 'nobody', path: '/sign-ups/TOKEN/proof', fields: { mail: 'guessed' }, kept: [] },
  'ask to sign again': { visitor: 'nobody', path: '/sign-ups/TOKEN/ask', fields: { member: '2' }, kept: [] },
  'sign by a link of my own': {
    visitor: 'nobody',
    path: '/waivers/ABSENT',
    fields: {
      name: 'Ben Birch',
      contactName: 'Bea Birch',
      contactRelation: 'sister',
      contactPhone: '(202) 555-0177',
      note: '',
      'signature-2': 'Ben Birch',
      agreeRules: 'yes',
      agreeWaiver: 'yes',
    },
    kept: ['name', 'contactName', 'contactPhone'],
  },
  'leave a party': { visitor: 'nobody', path: '/waivers/ABSENT/leave', fields: { any: 'thing' }, kept: [] },
  withdraw: { visitor: 'nobody', path: '/sign-ups/TOKEN/withdraw', fields: { any: 'thing' }, kept: [] },
  'sign in': { visitor: 'nobody', path: '/sign-in', fields: { email: 'ana@walkers.example', next: '/lead' }, kept: ['email'] },
  'sign in by code': { visitor: 'nobody', path: '/sign-in', fields: { code: 'ABCD-EFGH' }, kept: [] },
  'sign in by link': { visitor: 'nobody', path: '/sign-in/unknown', fields: { any: 'thing' }, kept: [] },
  'post a walk': {
    visitor: 'leader',
    path: '/lead/walks/new',
    fields: { ...WALK_FIELDS, intent: 'post' },
    kept: ['routeName', 'locality', 'meetingPoint', 'landmark', 'distance', 'capacity', 'lat'],
  },
  'draft a walk': {
    visitor: 'leader',
    path: '/lead/walks/new',
    fields: { ...WALK_FIELDS, intent: 'draft' },
    kept: ['routeName', 'distance'],
  },
  'close a walk': {
    visitor: 'leader',
    path: '/lead/walks/WALK/close',
    fields: {
      form: 'abcdefghijklmnopqrstuvwx',
      'people[0][who]': 'm1',
      'people[0][seen]': '',
      'people[0][ended]': '',
      'people[0][told]': '',
      'people[0][home]': '',
      'new[0][name]': 'Ivo Pike',
      'new[0][email]': 'ivo@walkers.example',
      'new[0][ended]': 'full',
      'hazards[0][place]': 'Lower lock',
      'hazards[0][what]': 'Towpath closed',
      'hazards[0][until]': '2027-01-31',
    },
    kept: ['new[0][name]', 'new[0][email]', 'hazards[0][place]', 'hazards[0][what]'],
    // After the cast's walk has set off.
    at: Date.UTC(2026, 11, 5, 19),
  },
  'say that a hazard is gone': { visitor: 'leader', path: '/lead/hazards/1', fields: { intent: 'gone' }, kept: [] },
  'edit a walk': {
    visitor: 'leader',
    path: '/lead/walks/WALK/edit',
    fields: { ...WALK_FIELDS, intent: 'save', version: '1' },
    kept: ['routeName', 'distance', 'capacity'],
  },
  'preview an edit': {
    visitor: 'co-leader',
    path: '/lead/walks/WALK/edit',
    fields: { ...WALK_FIELDS, intent: 'preview', version: '1' },
    kept: ['routeName', 'distance'],
  },
  ...Object.fromEntries(
    ['check', 'stop', 'waypoints', 'turns'].map((intent) => [
      `${intent} within the walk form`,
      { visitor: 'leader' as const, path: '/lead/walks/new', fields: { ...WALK_FIELDS, intent }, kept: ['routeName', 'distance'] },
    ]),
  ),
  'post a walk that is checked': {
    visitor: 'leader',
    path: '/lead/walks/new',
    fields: {
      ...WALK_FIELDS,
      walkCheck: 'shown',
      'stops[0][kind]': 'toilets',
      'stops[0][distance]': '4',
      'explain[water]': 'Inns',
      intent: 'post',
    },
    kept: ['routeName', 'distance', 'stops[0][distance]', 'explain[water]'],
  },
  'edit a walk and the later ones': {
    visitor: 'leader',
    path: '/lead/walks/WALK/edit',
    fields: { ...WALK_FIELDS, scope: 'later', 'later[w1]': '1', intent: 'save', version: '1' },
    kept: ['routeName', 'distance'],
  },
  'cancel a walk and the later ones': {
    visitor: 'leader',
    path: '/lead/walks/WALK/cancel',
    fields: { kind: 'other', reason: 'Ill', scope: 'later', 'later[w2]': '1' },
    kept: ['reason'],
  },
  'keep a standing note': {
    visitor: 'leader',
    path: '/lead/notes',
    fields: { title: 'Parking', body: 'Park by the weir.', goesInto: 'directions' },
    kept: ['title', 'body'],
  },
  'change a standing note': { visitor: 'leader', path: '/lead/notes/1', fields: { title: 'Parking', body: 'By the weir.' }, kept: [] },
  'put standing notes in': {
    visitor: 'leader',
    path: '/lead/walks/new',
    fields: { ...WALK_FIELDS, note: '1', intent: 'notes' },
    kept: ['routeName', 'distance'],
  },
  'choose the dates of a series': {
    visitor: 'leader',
    path: '/lead/walks/WALK/repeat',
    fields: { every: '1', ends: 'count', count: '3', until: '', intent: 'preview' },
    kept: [],
  },
  'list the dates of a series': {
    visitor: 'co-leader',
    path: '/lead/walks/WALK/repeat',
    fields: {
      every: 'dates',
      ends: '',
      dates: '2026-12-12',
      'hour[2026-12-12]': '-05:00',
      make: '2026-12-12',
      as: 'posted',
      intent: 'preview',
    },
    kept: [],
  },
  'make a series': {
    visitor: 'leader',
    path: '/lead/walks/WALK/repeat',
    fields: { every: '2', ends: 'until', until: '2027-01-30', make: '2026-12-19', as: 'draft', seen: 'guessed', intent: 'make' },
    kept: [],
  },
  'cancel a walk': { visitor: 'leader', path: '/lead/walks/WALK/cancel', fields: { kind: 'safety', reason: 'Storm' }, kept: ['reason'] },
  'open emergency details': {
    visitor: 'coordinator',
    path: '/lead/walks/WALK/contacts',
    fields: { member: '1', why: 'Fell at the weir' },
    kept: ['why'],
  },
  'make a day pack': { visitor: 'leader', path: '/lead/walks/WALK/pack', fields: { part: 'sheet', blank: '3' }, kept: [] },
  'make a day pack with contacts': {
    visitor: 'co-leader',
    path: '/lead/walks/WALK/pack/contacts',
    fields: { part: 'list', blank: '3' },
    kept: [],
  },
  'forget a kept contact': { visitor: 'walker', path: '/me/contacts/1/forget', fields: { any: 'thing' }, kept: [] },
  'type in a forecast': {
    visitor: 'leader',
    path: '/lead/walks/WALK/weather',
    fields: { temperature: '88', humidity: '60', wind: '8', date: '2026-12-05' },
    kept: ['temperature', 'humidity', 'wind'],
  },
  'tap on the roll before it opens': { visitor: 'leader', path: '/lead/walks/WALK/roll', fields: { who: 'm1', kind: 'arrived' }, kept: [] },
  'write to everyone': {
    visitor: 'co-leader',
    path: '/lead/walks/WALK/message',
    fields: { subject: 'Bring a hat', text: 'It will be sunny.', intent: 'send' },
    kept: ['subject'],
  },
  'see a message first': {
    visitor: 'leader',
    path: '/lead/walks/WALK/message',
    fields: { subject: 'Bring a hat', text: 'It will be sunny.', intent: 'preview' },
    kept: ['subject'],
  },
  'send oneself a copy of a message': {
    visitor: 'leader',
    path: '/lead/walks/WALK/message',
    fields: { subject: 'Bring a hat', text: 'It will be sunny.', intent: 'test' },
    kept: ['subject'],
  },
  'make a calendar address': { visitor: 'leader', path: '/lead/calendar/new', fields: { of: '' }, kept: [] },
  'turn a calendar address off': { visitor: 'leader', path: '/lead/calendar/off', fields: { any: 'thing' }, kept: [] },
  'ask another leader': {
    visitor: 'leader',
    path: '/lead/walks/WALK/together',
    fields: { kind: 'hand-over', person: '5', stays: 'yes', note: 'I am away that day.', intent: 'offer' },
    kept: ['note'],
  },
  'choose who leads': {
    visitor: 'coordinator',
    path: '/lead/walks/WALK/together',
    fields: { person: '6', offer: '1', intent: 'lead' },
    kept: [],
  },
  'answer another leader': { visitor: 'nobody', path: '/offers/OFFER', fields: { answer: 'later', words: 'Gladly' }, kept: ['words'] },
  'bring a leader in': {
    visitor: 'coordinator',
    path: '/coordinate/leaders',
    fields: { name: 'New Leader', email: 'new@waymeet.example', phone: '(202) 555-0199', area: 'lantern-hills', pledge: '1' },
    kept: ['name', 'email', 'phone', 'pledge'],
  },
  'change my pledge': {
    visitor: 'leader',
    path: '/lead/commitment/pledge',
    fields: { walks: '2', from: '2026-12' },
    kept: ['walks'],
  },
  'be excused': { visitor: 'leader', path: '/lead/commitment/excuse', fields: { month: '2026-12', reason: 'Away' }, kept: [] },
  'take an excused month back': { visitor: 'leader', path: '/lead/commitment/excuse/back', fields: { month: '2026-12' }, kept: [] },
  'turn the monthly mail on': { visitor: 'leader', path: '/lead/commitment/mails', fields: { wanted: 'yes' }, kept: [] },
  'turn the monthly mail off by mail': {
    visitor: 'nobody',
    path: '/monthly-mail/unknown',
    fields: { 'List-Unsubscribe': 'One-Click' },
    kept: [],
  },
  'change the pledge of a leader': {
    visitor: 'coordinator',
    path: '/coordinate/leaders/4/pledge',
    fields: { walks: '2', from: '2026-12' },
    kept: ['walks'],
  },
  'excuse a leader': {
    visitor: 'coordinator',
    path: '/coordinate/leaders/4/excuse',
    fields: { month: '2026-12', reason: 'Away' },
    kept: ['reason'],
  },
  'take back an excused month of a leader': {
    visitor: 'coordinator',
    path: '/coordinate/leaders/4/excuse/back',
    fields: { month: '2026-12' },
    kept: [],
  },
  'bring a leader back': { visitor: 'coordinator', path: '/coordinate/leaders/4/back', fields: { any: 'thing' }, kept: [] },
  'apply to lead': {
    visitor: 'other walker',
    path: '/lead/join/apply',
    fields: {
      name: 'Olive Reed',
      phone: '(202) 555-0199',
      area: 'lantern-hills',
      why: 'To give back.',
      days: '6',
      otherAreas: 'east-fork',
      longest: '8',
    },
    kept: ['name', 'phone', 'longest'],
  },
  'withdraw an application': { visitor: 'other walker', path: '/lead/join/apply/withdraw', fields: { any: 'thing' }, kept: [] },
  'answer a coordinator': { visitor: 'walker', path: '/lead/join/answer', fields: { answer: 'Yes, twice.' }, kept: [] },
  "sign the leader's agreement": {
    visitor: 'leader',
    path: '/lead/join/agreement',
    fields: { signature: 'Lena Marsh', agree: 'yes', version: '1' },
    kept: [],
  },
  'say something of oneself as a leader': {
    visitor: 'leader',
    path: '/lead/about',
    fields: {
      area: 'lantern-hills',
      otherAreas: 'east-fork',
      days: '6',
      shortest: '3',
      longest: '12',
      firstAidUntil: '2027-05-01',
      offersFirst: 'yes',
    },
    kept: ['shortest', 'longest', 'firstAidUntil'],
  },
  'stop leading': { visitor: 'other leader', path: '/lead/about/leave', fields: { any: 'thing' }, kept: [] },
  'approve an applicant': {
    visitor: 'coordinator',
    path: '/coordinate/applications/1/approve',
    fields: { pledge: '1', although: 'yes', reason: 'Has led elsewhere for years.' },
    kept: ['pledge'],
  },
  'ask an applicant': { visitor: 'coordinator', path: '/coordinate/applications/1/ask', fields: { question: 'Since when?' }, kept: [] },
  'decline an applicant': { visitor: 'coordinator', path: '/coordinate/applications/1/decline', fields: { words: 'Not yet.' }, kept: [] },
  'add an area': {
    visitor: 'coordinator',
    path: '/coordinate/areas',
    fields: { name: 'Millbrook', zone: 'America/New_York', emergencyNumber: '911', lat: '41', lon: '-85', radius: '10', floor: '' },
    kept: ['name', 'zone', 'lat'],
  },
  'change an area': {
    visitor: 'coordinator',
    path: '/coordinate/areas/lantern-hills',
    fields: {
      ...{ name: 'Lantern Hills', zone: 'America/New_York', emergencyNumber: '911', lat: '41', lon: '-85', radius: '10', floor: '2' },
      ...{ weekdayWalks: '2', saturdayWalks: '1', sundayWalks: '0', tolerance: '20' },
    },
    kept: ['name', 'radius', 'weekdayWalks', 'tolerance'],
  },
  'ask leaders for walks': {
    visitor: 'coordinator',
    path: '/coordinate/proposals',
    fields: {
      'rows[0][need]': '1 2026-12 0 01',
      'rows[0][date]': '2026-12-19',
      'rows[0][ask]': 'yes',
      'rows[0][leader]': '0',
      note: 'Please',
    },
    kept: ['note'],
  },
  'answer what is asked': { visitor: 'nobody', path: '/asks/ASK', fields: { ask: '1', answer: 'no' }, kept: [] },
  'mark the board as seen': { visitor: 'coordinator', path: '/coordinate/seen', fields: { mark: 'guessed' }, kept: [] },
  'waivers on paper': {
    visitor: 'leader',
    path: '/lead/walks/WALK/waivers',
    fields: { member: '2', seenBy: 'Lena Marsh', version: '1' },
    kept: ['seenBy'],
  },
  'look through a list of waivers': {
    visitor: 'coordinator',
    path: '/coordinate/walkers',
    fields: { csv: 'name,email,signed\nAna Ferreira,ana@walkers.example,2026-10-02', intent: 'try' },
    kept: [],
  },
  'bring in a list of waivers': {
    visitor: 'coordinator',
    path: '/coordinate/walkers',
    fields: { csv: 'name,email,signed\nAna Ferreira,ana@walkers.example,2026-10-02', intent: 'import', same: 'yes' },
    kept: [],
  },
  'change the season': {
    visitor: 'coordinator',
    path: '/coordinate/season',
    fields: {
      eventName: 'Two Rivers Weekend',
      eventDay: '2027-06-12',
      eventDays: '2',
      dayLength: '22',
      seasonWeeks: '16',
      weekdayWalks: '2',
      toleranceShare: '15',
      toleranceLength: '1',
    },
    kept: ['eventName', 'eventDay', 'eventDays', 'dayLength', 'toleranceShare', 'toleranceLength'],
  },
  'change a week of the season': {
    visitor: 'coordinator',
    path: '/coordinate/season/2027-04-19',
    fields: { weekday1: '5', weekday2: '5', weekday3: '', saturday: '14.5', sunday: '7', intent: 'save' },
    kept: ['weekday1', 'weekday2', 'weekday3', 'saturday', 'sunday'],
  },
  'change the settings': {
    visitor: 'coordinator',
    path: '/coordinate/settings',
    fields: {
      groupName: 'Harrow Fells Walkers',
      eventName: '',
      eventDay: '2027-06-12',
      locale: 'en-US',
      units: 'mi',
      clock: '12',
      fastPace: '15',
      slowPace: '24',
      floorWalks: '2',
      hold: '3',
      eventDays: '2',
      contactsFromHours: '24',
      contactsUntilHours: '24',
      contactsKeptDays: '30',
      commitmentDay: '20',
      quizQuestions: '10',
      quizPassPercent: '80',
      agreementMonths: '12',
    },
    kept: ['groupName', 'eventDay', 'slowPace', 'hold', 'contactsKeptDays', 'quizQuestions', 'quizPassPercent'],
  },
  ...Object.fromEntries(
    ['preview', 'publish', 'change'].map((intent) => [
      `${intent} a text`,
      {
        visitor: 'coordinator' as const,
        path: '/coordinate/texts/waiver',
        fields: { body: 'I walk at my own risk.', base: '1', intent },
        kept: ['body'],
      },
    ]),
  ),
  'mark a handbook page': { visitor: 'walker', path: '/handbook/the-day/read', fields: { any: 'thing' }, kept: [] },
  'start the quiz': { visitor: 'walker', path: '/lead/join/quiz', fields: { any: 'thing' }, kept: [] },
  // An answer that is none of those shown can't come back: tests/quiz/take.test.ts asks that those chosen do.
  'answer the quiz': {
    visitor: 'walker',
    path: '/lead/join/quiz/1',
    fields: Object.fromEntries(Array.from({ length: 10 }, (_, index) => [`q${index + 1}`, '1'])),
    kept: [],
  },
  ...Object.fromEntries(
    ['new', '1'].map((which) => [
      `write the quiz question "${which}"`,
      {
        visitor: 'coordinator' as const,
        path: `/coordinate/quiz/${which}`,
        fields: {
          page: 'the-day',
          question: 'Who walks last?',
          answer1: 'The back marker',
          answer2: 'The leader',
          answer3: '',
          right: '1',
          explanation: 'So that nobody falls behind unseen.',
        },
        kept: ['question', 'answer1', 'answer2', 'answer3', 'explanation'],
      },
    ]),
  ),
  'retire a quiz question': { visitor: 'coordinator', path: '/coordinate/quiz/2/retire', fields: { any: 'thing' }, kept: [] },
  'own details': { visitor: 'walker', path: '/me', fields: { name: 'Wendel Ames', phone: '' }, kept: ['name', 'phone'] },
  'save everything about oneself': { visitor: 'walker', path: '/me/export', fields: { any: 'thing' }, kept: [] },
  // A leader of a walk to come: refused, however it is asked.
  'erase oneself': { visitor: 'leader', path: '/me/erase', fields: { sure: 'yes' }, kept: [] },
  'mail again': { visitor: 'coordinator', path: '/coordinate/mail/1/again', fields: { any: 'thing' }, kept: [] },
};

const HOSTILE = fc.oneof(
  fc.string({ unit: 'binary', maxLength: 60 }),
  fc.string({ unit: 'grapheme', maxLength: 60 }),
  fc.constantFrom(
    '',
    ' ',
    '0',
    '-1',
    '1e9',
    'NaN',
    '999999999999999999999',
    '2026-02-30',
    '0000-00-00',
    '99:99',
    '24:00',
    'America/Nowhere',
    '\u0000',
    '\ud800',
    "'; DROP TABLE walks; --",
    '<script>alert(1)</script>',
    '{{7*7}}',
    '../../etc/passwd',
    'a'.repeat(5000),
    '+1',
    '911',
    '__proto__',
    'a@b',
    '"a, b"@walkers.example',
    'x\r\nBcc: eve@evil.example',
  ),
);

/** Names a stranger might send as fields. */
const STRANGE = fc.constantFrom(
  '__proto__',
  'constructor[prototype][x]',
  'members',
  'members[0]',
  'members[9][name]',
  'members[a][name]',
  'members[0][name][deep]',
  'intent',
  'version',
  'surface[]',
  'csrf[]',
  'email[a]',
  'toString',
  'members[99999999999][name]',
  'stops',
  'stops[0]',
  'stops[0][kind]',
  'stops[0][distance]',
  'stops[0][length]',
  'stops[1][minutes]',
  'stops[x][name]',
  'explain',
  'explain[toilets]',
  'explain[__proto__]',
  'route',
  'gpx',
  'dropRoute',
  'walkCheck',
  'seenOn',
  'note',
  'scope',
  'later',
  'later[1]',
  'later[w1]',
  'make',
  'hour',
  'hour[2026-12-12]',
  'seen',
  'as',
);

/** Fields of several lines: there, line ends come back as they were. */
const LINES = new Set(['body', 'csv', 'explanation', 'what', 'done']);

/** What of a typed value a form gives back: control characters and doubled blanks are not kept. */
function asKept(value: string): string {
  return value
    .toWellFormed()
    .replace(/[^\P{Cc}\t\n\r]|[\u2028\u2029\u202a-\u202e\u2066-\u2069]/gu, '')
    .replace(/\s+/g, ' ')
    .trim();
}

describe('whatever is posted', { timeout: 60_000 }, () => {
  it.each(Object.entries(FORMS))('%s never answers 500, and a refusal keeps what was typed', async (_, form) => {
    const site = await openSite();
    const cast = layCast(site);
    layApplication(site, cast);
    site.db.write((tx) => saveSettings(tx, { eventDay: '2027-06-12', eventDayMetres: 35_406 }));
    const signedUp = site.services.db.write((tx) =>
      keepSignUp(tx, site.services, cast.walkId, signUpForm({ email: 'walker@waymeet.example', members: withAbsent() })),
    );
    layAttempt(site, cast.ids.walker);
    const token = 'kept' in signedUp ? signUpToken(site.services.sealer, signedUp.kept) : '';
    const path = form.path
      .replace('WALK', String(cast.walkId))
      .replace('TOKEN', token)
      .replace('ABSENT', absentToken(site))
      .replace('OFFER', askedToken(site, cast))
      .replace('INCIDENT', String(layIncident(site, cast)))
      .replace('ASK', askFor(site, cast).token);
    site.clock.now = form.at ?? site.clock.now;
    const browser = cast.browser(form.visitor);
    const names = Object.keys(form.fields);
    const changes = fc.dictionary(fc.oneof(fc.constantFrom(...names), STRANGE), HOSTILE, { minKeys: 1, maxKeys: 5 });
    await fc.assert(
      fc.asyncProperty(changes, async (changed) => {
        const fields: Record<string, string> = { ...form.fields, ...changed };
        const answer = await browser.post(path, fields);
        expect(answer.status).toBeLessThan(500);
        expect(answer.text ?? '').not.toMatch(/<script>alert|\[object Object\]|undefined</);
        if (answer.status !== 422 || Object.keys(changed).some((name) => !names.includes(name))) return;
        expect(answer.text).toMatch(/<title>Error: /);
        const back = formFields(answer.text);
        for (const name of form.kept) {
          const given = String(back[name]);
          expect([name, LINES.has(name) ? asKept(given) : given]).toEqual([name, asKept(fields[name] ?? '')]);
        }
      }),
      { numRuns: 40 },
    );
  });

  it.each([
    '/',
    '/coordinate',
    '/coordinate/report',
    '/coordinate/proposals',
    '/sign-in',
    '/lead/join',
    '/lead/walks/new',
    '/coordinate/mail',
    '/walks.json',
    '/calendar.ics',
  ])('%s with any query never answers 500', async (path) => {
    const site = await openSite();
    const cast = layCast(site);
    const browser = cast.browser(path.startsWith('/lead') ? 'leader' : path.startsWith('/coordinate') ? 'coordinator' : 'nobody');
    const names = fc.constantFrom(
      'area',
      'from',
      'to',
      'months',
      'min',
      'max',
      'day',
      'surface',
      'stepfree',
      'week',
      'next',
      'copy',
      'date',
      'before',
      'sent',
      'stand-down',
    );
    await fc.assert(
      fc.asyncProperty(fc.array(fc.tuple(names, HOSTILE), { maxLength: 4 }), async (pairs) => {
        const query = new URLSearchParams(pairs.map(([name, value]): [string, string] => [name, value.toWellFormed()]));
        const answer = await browser.get(`${path}?${query.toString()}`);
        expect(answer.status).toBeLessThan(500);
        expect(answer.text).not.toMatch(/<script>alert/);
      }),
      { numRuns: 40, examples: [[[['from', '9999-12']]], [[['from', '0000-01']]], [[['before', '99999999999999999999']]]] },
    );
  });

  it('the first-run page never answers 500, and a refusal keeps what was typed', async () => {
    const site = await openSite();
    site.db.write((tx) => {
      tx.delete(settings).run();
    });
    const browser = new Browser(site.app);
    const right = {
      code: firstRunCode(site.services),
      groupName: 'Harrow Fells Walkers',
      locale: 'en-US',
      units: 'mi',
      clock: '12',
      name: 'Cora Danner',
      email: 'cora@waymeet.example',
    };
    const area = { phone: '', areaName: 'Millbrook', zone: 'America/New_York', lat: '41', lon: '-85', radius: '10', emergencyNumber: '' };
    const fields: Record<string, string> = { ...right, ...area };
    const names = Object.keys(fields).filter((name) => name !== 'code');
    await fc.assert(
      // The emergency number is left empty, so that none of these makes the group.
      fc.asyncProperty(
        fc.dictionary(fc.constantFrom(...names.filter((name) => name !== 'emergencyNumber')), HOSTILE, { minKeys: 1 }),
        async (changed) => {
          const typed = { ...fields, ...changed };
          const answer = await browser.post('/first-run', typed);
          expect(answer.status).toBe(422);
          const back = formFields(answer.text);
          for (const name of ['groupName', 'name', 'areaName', 'lat'])
            expect([name, back[name]]).toEqual([name, asKept(typed[name] ?? '')]);
        },
      ),
      { numRuns: 40 },
    );
  });

  it('a body that is no form, or far too long, is a page too', async () => {
    const site = await openSite();
    const { walkId } = layCast(site);
    const send = (type: string, payload: string) =>
      site.app.inject({
        method: 'POST',
        url: `/walks/${walkId}/sign-up`,
        headers: { origin: site.config.baseUrl, 'content-type': type },
        payload,
      });
    expect((await send('application/json', '{"name":')).statusCode).toBe(415);
    expect((await send('text/xml', '<a/>')).statusCode).toBe(415);
    expect((await send('application/x-www-form-urlencoded', 'a'.repeat(400_000))).statusCode).toBe(413);
    expect((await send('application/x-www-form-urlencoded', '%E0%A4%A&=&&a[b')).statusCode).toBe(422);
    expect((await send('multipart/form-data; boundary=x', '--x--')).statusCode).toBe(415);
    const answer = await site.app.inject({ method: 'POST', url: `/walks/${walkId}/sign-up`, headers: { origin: site.config.baseUrl } });
    expect(answer.statusCode).toBe(422);
  });

  it('comes from this site, or is refused', async () => {
    const site = await openSite();
    const { walkId } = layCast(site);
    const status = async (headers: Record<string, string>) =>
      (await site.app.inject({ method: 'POST', url: `/walks/${walkId}/sign-up`, headers })).statusCode;
    expect(await status({})).toBe(403);
    expect(await status({ origin: 'https://evil.example' })).toBe(403);
    expect(await status({ origin: site.config.baseUrl, 'sec-fetch-site': 'cross-site' })).toBe(403);
    expect(await status({ origin: site.config.baseUrl, 'sec-fetch-site': 'same-site' })).toBe(403);
    expect(await status({ origin: site.config.baseUrl })).toBe(422);
    expect(await status({ 'sec-fetch-site': 'same-origin' })).toBe(422);
  });

  it('from someone signed in carries the token of their session', async () => {
    const site = await openSite();
    const cast = layCast(site);
    const leader = cast.browser('leader');
    expect((await leader.post('/lead/walks/new', { csrf: 'stolen' })).status).toBe(403);
    expect((await leader.post('/lead/walks/new', { csrf: ['a', 'b'] })).status).toBe(403);
  });
});
