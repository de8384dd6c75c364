import type { TestSite } from '../support/app.js';
import { NOON } from '../support/app.js';

const DAY_MS = 24 * 60 * 60_000;
const PAST = NOON - 5 * DAY_MS;

/** The address of the person who is erased: the mark of every column that holds one. */
export const EMAIL = 'qz-address-zq@walkers.example';

/** What they were called by whoever signed them up. */
export const OLD_NAME = 'Qz-before-zQ';

/** Someone with a value of their own, found nowhere else, in every column that holds personal details. */
export interface Marked {
  personId: number;
  /** By "table.column". */
  marks: Map<string, string>;
}

/** An order of answers found nowhere else. */
function answerOrder(marks: Map<string, string>): { answer_order: string } {
  marks.set('quiz_attempt_questions.answer_order', '[70777,70778]');
  return { answer_order: '[70777,70778]' };
}

/** Lays the marked person into a site, with a bystander whose party they are in and whose mail names them. */
export function layMarked(site: TestSite): Marked {
  const { raw } = site.db;
  const marks = new Map<string, string>();
  const put = (table: string, row: Record<string, string | number | Buffer | null>): number => {
    const names = Object.keys(row);
    const values = names.map((name) => row[name]);
    const sql = `INSERT INTO ${table} (${names.join(', ')}) VALUES (${names.map(() => '?').join(', ')})`;
    return Number(raw.prepare(sql).run(...values).lastInsertRowid);
  };
  /** A value that names its column. */
  const mark = (table: string, column: string): string => {
    const value = column === 'email' || column === 'to_email' ? EMAIL : `Qz-${table}-${column}-zQ`;
    marks.set(`${table}.${column}`, value);
    return value;
  };
  const marked = (table: string, ...columns: string[]) => Object.fromEntries(columns.map((column) => [column, mark(table, column)]));

  const personId = put('people', { ...marked('people', 'name', 'email', 'phone'), created_at: NOON });
  const other = put('people', { name: 'Bea Stander', email: 'bea@walkers.example', created_at: NOON });
  put('sessions', { ...marked('sessions', 'token_hash'), person_id: personId, created_at: NOON, seen_at: NOON, expires_at: NOON + DAY_MS });
  put('sign_in_links', {
    ...marked('sign_in_links', 'email', 'token_hash', 'code_hash', 'browser_hash', 'next'),
    created_at: NOON,
    expires_at: NOON,
  });
  marks.set('leaders.days', '[1,3,6,7]').set('leaders.first_aid_until', '2033-04-19');
  const asLeader = { days: '[1,3,6,7]', longest_metres: 20_000, shortest_metres: 3000, first_aid_until: '2033-04-19', offers_first: 1 };
  for (const id of [personId, other])
    put('leaders', {
      ...{ person_id: id, area_id: 1, state: 'approved', since_month: '2026-01', created_at: NOON, agreement_due_at: NOON },
      ...(id === personId ? asLeader : {}),
    });
  put('leader_areas', { person_id: personId, area_id: 2 });
  marks.set('applications.days', '[2,4,5,7]').set('applications.other_areas', '[2,77]');
  put('applications', {
    ...marked('applications', 'name', 'phone', 'why', 'question', 'answer', 'words'),
    ...{ person_id: personId, state: 'declined', area_id: 1, days: '[2,4,5,7]', longest_metres: 9000, other_areas: '[2,77]' },
    ...{ asked_at: NOON, answered_at: NOON, created_at: NOON, changed_at: NOON, ready_at: NOON, decided_at: NOON, decided_by: other },
  });
  put('audit_log', {
    ...{ at: NOON, person_id: other, action: 'approved a leader although steps were missing', subject: `person:${personId}` },
    detail: JSON.stringify({ missing: ['quiz'], reason: 'Qz-although-zQ' }),
  });
  put('pledges', { person_id: personId, from_month: '2026-01', walks: 2 });
  put('excused_months', { person_id: personId, month: '2026-02', ...marked('excused_months', 'reason'), by_person_id: personId, at: NOON });
  put('leader_terms', { person_id: personId, from_month: '2026-01', at: NOON });
  put('commitment_mails', { person_id: personId, ...marked('commitment_mails', 'off_hash'), decided_month: '2026-11' });
  put('handbook_reads', { person_id: personId, ...marked('handbook_reads', 'page'), at: NOON });
  const attempt = put('quiz_attempts', {
    person_id: personId,
    started_at: NOON,
    pass_percent: 80,
    ended_at: NOON,
    right_count: 1,
    passed: 1,
  });
  put('quiz_attempt_questions', { attempt_id: attempt, place: 1, question_id: 1, ...answerOrder(marks), chosen: 0 });
  put('standing_notes', { person_id: personId, ...marked('standing_notes', 'title', 'body'), goes_into: 'bring', created_at: NOON });
  put('series', { by_person_id: personId, created_at: NOON });
  put('audit_log', { at: NOON, person_id: personId, ...marked('audit_log', 'action', 'subject') });
  put('texts', { kind: 'briefing', version: 9, body: 'Walk.', sha256: 'x', created_at: NOON, by_person_id: personId });
  const route = put('routes', {
    by_person_id: personId,
    created_at: NOON,
    length_metres: 9000,
    shape: 'loop',
    point_count: 2,
    line: '[]',
    line_error_metres: 1,
    turns: '[]',
    waypoints: '[]',
    sha256: 'r',
    gpx: Buffer.from('gpx'),
  });
  const walk = (uid: string) =>
    put('walks', {
      uid,
      state: 'posted',
      area_id: 1,
      route_name: 'Old loop',
      locality: 'Lantern Hills',
      wall_date: '2026-11-20',
      wall_time: '07:00',
      wall_set_off: '07:15',
      zone: 'America/New_York',
      gather_at: PAST,
      set_off_at: PAST,
      month: '2026-11',
      meeting_point: 'Gate',
      landmark: 'Oak',
      distance_metres: 9000,
      capacity: 12,
      created_at: NOON,
      updated_at: NOON,
      route_id: route,
    });
  const ledWalk = walk('led');
  const otherWalk = walk('other');
  put('walk_leaders', { walk_id: ledWalk, person_id: personId, part: 'leader' });
  put('walk_leaders', { walk_id: otherWalk, person_id: other, part: 'leader' });
  const offer = { walk_id: otherWalk, kind: 'co-leader', state: 'declined', created_at: NOON, ended_at: NOON, stays: 0 };
  put('walk_offers', {
    ...offer,
    to_person_id: personId,
    by_person_id: other,
    ...marked('walk_offers', 'note', 'words', 'token_hash'),
  });
  put('walk_offers', { ...offer, to_person_id: other, by_person_id: personId, note: 'Qz-typed-zQ', words: 'Qz-typed-zQ', token_hash: 't' });
  put('walk_changes', { walk_id: ledWalk, version: 1, kind: 'created', by_person_id: personId, facts: '{}', at: NOON });
  marks.set('packs.list', 'm77731');
  put('packs', {
    ...{ walk_id: ledWalk, at: NOON, by_person_id: personId, version: 1, parts: '["sheet"]', contacts: 0, list: '{"m77731":1}' },
    ...marked('packs', 'digest'),
  });
  put('forecasts', {
    walk_id: ledWalk,
    wall_date: '2026-11-20',
    temperature_celsius: 20,
    humidity: 50,
    wind_metres_per_second: 1,
    by_person_id: personId,
    at: NOON,
  });

  marks.set('hazards.until_date', '2031-03-17');
  put('hazards', {
    ...{ walk_id: ledWalk, key: 'form-0', area_id: 1, route_key: 'old loop', until_date: '2031-03-17', noted_at: NOON, noted_by: personId },
    ...marked('hazards', 'place', 'what'),
  });
  put('messages', {
    walk_id: ledWalk,
    by_person_id: personId,
    ...marked('messages', 'from_name', 'subject', 'text'),
    at: NOON,
    audience: 'everyone',
    count: 1,
  });
  // What others wrote, naming them: the name goes, and the rest stays.
  const filledIn = `Ring ${marks.get('people.name')}, ${marks.get('people.phone')}. Qz-elsewhere-zQ lost a hat. Kept-words`;
  put('messages', {
    walk_id: otherWalk,
    by_person_id: other,
    from_name: 'Bea Stander',
    subject: 'Hats',
    text: filledIn,
    at: NOON,
    audience: 'confirmed',
    count: 1,
  });
  const letter = put('ask_letters', {
    to_person_id: personId,
    by_person_id: other,
    ...marked('ask_letters', 'note', 'token_hash'),
    created_at: NOON,
  });
  put('asks', {
    letter_id: letter,
    to_person_id: personId,
    area_id: 1,
    ...marked('asks', 'need'),
    week: '2026-11-23',
    month: '2026-11',
    day_kind: 'saturday',
    date: '2026-11-28',
    least_metres: 9000,
    best_metres: 10_000,
    most_metres: 11_000,
    state: 'not this time',
    answered_at: NOON,
  });
  put('ask_letters', { to_person_id: other, by_person_id: personId, note: 'Qz-typed-zQ', token_hash: 'asks-by', created_at: NOON });
  put('board_visits', {
    person_id: personId,
    seen_at: NOON,
    until_month: '2027-10',
    gaps: JSON.stringify([marked('board_visits', 'gaps').gaps]),
  });
  put('calendar_feeds', { person_id: personId, ...marked('calendar_feeds', 'salt', 'token_hash'), made_at: NOON });

  const text = raw.prepare("SELECT id FROM texts WHERE kind = 'waiver'").pluck().get() as number;
  const signUp = (row: Record<string, string>, walkId: number) =>
    put('sign_ups', {
      ...row,
      walk_id: walkId,
      state: 'confirmed',
      party_size: 2,
      rules_text_id: text,
      rules_agreed_at: NOON,
      created_at: NOON,
    });
  const own = signUp(marked('sign_ups', 'name', 'email', 'phone', 'phone_typed', 'token_hash', 'post_mark'), otherWalk);
  const beas = signUp(
    { name: 'Bea', email: 'bea@walkers.example', phone: '1', phone_typed: '1', token_hash: 'b', post_mark: 'b' },
    otherWalk,
  );
  const adult = put('party_members', { sign_up_id: own, ...marked('party_members', 'name') });
  put('attendance', { walk_id: otherWalk, member_id: adult, outcome: 'full', metres: 9000 });
  marks.set('party_members.adult_on', '2031-07-19');
  put('party_members', { sign_up_id: own, name: 'Qz-child-zQ', minor: 1, guardian_id: adult, adult_on: '2031-07-19' });
  const agreed = { rules_agreed_at: NOON, rules_text_id: text };
  put('party_members', { sign_up_id: beas, name: 'Qz-elsewhere-zQ', ...marked('party_members', 'email', 'sign_token_hash'), ...agreed });
  // An absent adult in the marked person's own party.
  put('party_members', { sign_up_id: own, name: 'Abe Away', email: 'abe@walkers.example' });
  put('emergency_contacts', { member_id: adult, sealed: Buffer.from(mark('emergency_contacts', 'sealed')), created_at: NOON });
  put('kept_contacts', {
    person_id: personId,
    ...marked('kept_contacts', 'for_name', 'for_key'),
    sealed: Buffer.from(mark('kept_contacts', 'sealed')),
    kept_at: NOON,
    expires_at: NOON + DAY_MS,
  });
  marks.set('roll_entries.said', '70779');
  put('roll_entries', {
    ...{ walk_id: otherWalk, entry: 'entry-of-the-marked', who: `m${adult}`, said: '{"kind":"stop","stop":70779}', after: '[]' },
    ...{ ...marked('roll_entries', 'device'), device_at: NOON, sent_at: NOON, received_at: NOON, by_person_id: personId },
  });
  const why = mark('audit_log', 'detail');
  const opening = { at: NOON, person_id: other, action: 'opened emergency details', subject: `walk:${otherWalk}` };
  put('audit_log', { ...opening, detail: JSON.stringify({ members: [adult], why }) });
  const words = (reason: string) => JSON.stringify({ members: [adult, 999], reason, why: 'Qz-typed-zQ' });
  put('audit_log', { ...opening, detail: words('hurt') });
  put('audit_log', { ...opening, detail: JSON.stringify({ members: [998, 999], everyone: true, reason: 'missing', why: 'Qz-typed-zQ' }) });
  put('audit_log', { ...opening, detail: JSON.stringify({ members: [adult, 999], why: 'sign-in sheet' }) });
  put('audit_log', { ...opening, detail: JSON.stringify({ members: [998, 999], reason: 'hurt', why: 'Kept-why' }) });
  const seenBy = { at: NOON, person_id: other, action: 'kept waivers signed on paper', subject: `walk:${otherWalk}` };
  for (const name of [marks.get('people.name') ?? '', 'Kept-seer'])
    put('audit_log', { ...seenBy, detail: JSON.stringify({ members: [999], seenBy: name }) });

  const evidence = ['text_sha256', 'address_mark', 'for_name', 'for_key', 'signer_name', 'signer_key', 'signature', 'intent', 'consent'];
  const chained = ['document_sha256', 'previous', 'hash', 'seen_by'];
  const waiver = put('waivers', {
    how: 'paper',
    text_id: text,
    sign_up_id: own,
    member_id: adult,
    ...marked('waivers', 'email', ...evidence, ...chained),
    signed_as: 'self',
    proof: 'none',
    signed_at: NOON,
    kept_at: NOON,
    format: 1,
  });
  put('waiver_traces', { waiver_id: waiver, ...marked('waiver_traces', 'address', 'agent'), at: NOON });

  // They turned up with a child, and something happened to them that was followed up.
  marks
    .set('turned_up.key', 'Qz-turned-up-key-zQ')
    .set('turned_up.guardian', 'tQz-guardian-zQ')
    .set('incidents.who', 'tQz-turned-up-key-zQ');
  const onTheDay = put('turned_up', {
    ...marked('turned_up', 'name', 'email', 'phone'),
    ...{
      walk_id: otherWalk,
      key: 'Qz-turned-up-key-zQ',
      guardian: 'tQz-guardian-zQ',
      waiver_id: waiver,
      added_at: NOON,
      added_by: personId,
    },
    ...agreed,
  });
  put('turned_up', {
    walk_id: otherWalk,
    key: 'child-of-Qz',
    name: 'Qz-child-zQ',
    minor: 1,
    guardian: 'tQz-turned-up-key-zQ',
    added_at: NOON,
  });
  put('turned_up_contacts', { turned_up_id: onTheDay, sealed: Buffer.from(mark('turned_up_contacts', 'sealed')), created_at: NOON });
  const incident = put('incidents', {
    ...{
      walk_id: otherWalk,
      post_mark: 'x',
      who: 'tQz-turned-up-key-zQ',
      called: 1,
      state: 'closed',
      due_on: '2026-11-25',
      assigned_to: personId,
    },
    ...{ ...marked('incidents', 'outcome'), created_at: NOON, by_person_id: personId, closed_at: NOON, closed_by: personId },
  });
  const sealed = (table: string, column: string) => Buffer.from(mark(table, column));
  put('incident_versions', {
    ...{ incident_id: incident, version: 1, record_sealed: sealed('incident_versions', 'record_sealed'), at: NOON, by_person_id: personId },
  });
  put('incident_notes', { incident_id: incident, note_sealed: sealed('incident_notes', 'note_sealed'), at: NOON, by_person_id: personId });

  const notice = (row: Record<string, string | number>) =>
    put('notices', { kind: 'message', state: 'sent', created_at: NOON, due_at: NOON, give_up_at: NOON, ...row });
  notice({
    ...marked('notices', 'event', 'to_name', 'to_email', 'message_id', 'last_error', 'lot'),
    walk_id: otherWalk,
    sign_up_id: own,
    content: JSON.stringify({ test: { askedAt: NOON, note: mark('notices', 'content') } }),
  });
  const person = { name: marks.get('people.name'), phone: marks.get('people.phone') };
  const toBea = (leader: object, rest: object) => ({
    leader,
    walkId: otherWalk,
    signUp: { id: beas, state: 'confirmed', party: ['Bea'] },
    ...rest,
  });
  const mails = [
    toBea({ name: 'Bea', phone: '1' }, { signUp: { id: beas, state: 'confirmed', party: ['Bea', 'Qz-elsewhere-zQ'] } }),
    toBea(
      { name: 'Bea', phone: '1' },
      { waivers: [{ forName: 'Qz-elsewhere-zQ', signerName: 'Qz-elsewhere-zQ', signature: 'qz-Elsewhere-zq' }] },
    ),
    toBea(person, {}),
    { ...toBea({ ...person, phone: null }, {}), walkId: ledWalk },
    toBea({ name: 'Bea', phone: '1' }, { message: { subject: 's', text: filledIn, from: person.name, at: NOON } }),
    toBea({ name: 'Bea', phone: '1' }, { differences: [{ label: 'Leader', before: person.name, after: 'Bea' }] }),
  ];
  // What says that somebody has left, or has yet to sign; and a field that nobody has thought of yet.
  const leader = { name: 'Bea', phone: '1' };
  mails.push(
    toBea(leader, { left: ['Qz-elsewhere-zQ', 'qz-address-zq@walkers.example'] }),
    toBea(leader, { unsigned: ['Bea', 'Qz-elsewhere-zQ'] }),
    toBea(leader, { another: { field: [{ of: 'Qz-elsewhere-zQ' }] } }),
    toBea(leader, { signUp: { id: beas, state: 'confirmed', party: ['Bea', OLD_NAME] } }),
  );
  for (const [index, content] of mails.entries())
    notice({
      event: `bea:${index}`,
      to_name: 'Bea',
      to_email: 'bea@walkers.example',
      message_id: `bea-${index}`,
      walk_id: content.walkId,
      sign_up_id: beas,
      content: JSON.stringify({ walk: content }),
    });
  const booker = marks.get('sign_ups.name');
  const asked = { memberId: 0, email: 'abe@walkers.example', bookedBy: booker };
  const toAbe = [
    { event: 'to-sign:0:x', kind: 'to-sign', sign_up_id: own, add: { toSign: { ...asked, minors: ['Qz-child-zQ'] } } },
    { event: 'member-change:0:2', kind: 'member-news', add: { member: { ...asked, news: 'changed' } } },
    { event: 'member-cancelled:0:3', kind: 'member-news', add: { member: { ...asked, news: 'cancelled' } } },
    { event: 'member-gone:0', kind: 'member-news', add: { member: { ...asked, news: 'gone' } } },
  ];
  for (const { add, ...row } of toAbe)
    notice({
      ...row,
      to_name: 'Abe Away',
      to_email: 'abe@walkers.example',
      message_id: row.event,
      walk_id: otherWalk,
      content: JSON.stringify({ walk: toBea(leader, { signUp: { id: own, state: 'confirmed', party: [booker, 'Abe Away'] }, ...add }) }),
    });
  const self = { personId, name: person.name };
  const bea = { personId: other, name: 'Bea Stander' };
  for (const [index, said] of [
    { news: 'asked', by: self, to: bea },
    { news: 'declined', by: bea, to: self },
    { news: 'removed', by: self, to: bea },
  ].entries())
    notice({
      event: `together:${index}`,
      kind: ['offer', 'offer-answer', 'leading'][index] ?? '',
      to_name: 'Bea Stander',
      to_email: 'bea-stander@walkers.example',
      message_id: `together-${index}`,
      walk_id: otherWalk,
      content: JSON.stringify({
        together: { walkId: otherWalk, version: 1, title: 'A walk', kind: 'co-leader', note: 'Qz-typed-zQ', ...said },
      }),
    });
  // What coordinators were told of their application.
  notice({
    ...{
      event: 'application:1:1',
      kind: 'application',
      to_name: 'Bea',
      to_email: 'bea-coordinates@walkers.example',
      message_id: 'application',
    },
    content: JSON.stringify({ joining: { about: personId, subject: 'Qz-applied-zQ', heading: '', lines: [], quote: 'Qz-quote-zQ' } }),
  });
  // What was mailed to an absent adult before they corrected their name.
  notice({
    event: 'old',
    to_name: OLD_NAME,
    to_email: EMAIL,
    message_id: 'old',
    walk_id: otherWalk,
    sign_up_id: beas,
    content: '{"test":{}}',
  });
  return { personId, marks };
}
