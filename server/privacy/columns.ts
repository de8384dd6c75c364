/** What stands in for a place in /me.json where a column is not exported, and why. */
type NotExported = `not exported: ${string}`;

/** What erasing someone does to a column. */
type Erase = 'row deleted' | 'emptied' | `emptied: ${string}` | `kept: ${string}`;

/** A column that holds, or points to, personal details. */
export interface Personal {
  /** Where it is found in /me.json ("signUps.name"), or why it is not there. */
  export: string | NotExported;
  erase: Erase;
}

export type Rule = Personal | 'not personal';

const no = 'not personal';

function rule(where: string | NotExported, erase: Erase): Personal {
  return { export: where, erase };
}

/** The same rule for several columns. */
function each<K extends string>(columns: K[], one: Rule): Record<K, Rule> {
  return Object.fromEntries(columns.map((column) => [column, one])) as Record<K, Rule>;
}

const DELETED = 'row deleted';
const EMPTIED = 'emptied';
const EVIDENCE = 'kept: evidence';
const NOBODY = 'kept: no longer points to anyone';

const HAPPENED = 'kept: what happened, until its time is over';

const SAID = 'kept: said to everyone on a walk';
const SAID_OF_ROUTE = 'kept: said to whoever leads on a route';

const SECRET = 'not exported: secret';
const DIGEST = 'not exported: keyed digest';
const NUMBER = 'not exported: a number that leads to other rows, which are exported';

/**
 * Every column of every table: whether it holds personal details and, if so, where the person finds it and what erasing does to it.
 * tests/privacy/columns.test.ts fails on a column that is not here, and erases somebody to see that each rule is kept.
 */
export const COLUMNS: Record<string, Record<string, Rule>> = {
  settings: each(['key', 'value'], no),
  areas: each(
    [
      'id',
      'slug',
      'name',
      'lat',
      'lon',
      'radius_metres',
      'zone',
      'emergency_number',
      'floor_walks',
      'created_at',
      'weekday_walks',
      'saturday_walks',
      'sunday_walks',
      'length_tolerance',
    ],
    no,
  ),
  texts: {
    ...each(['id', 'kind', 'version', 'body', 'sha256', 'created_at'], no),
    by_person_id: rule('not exported: that a text was published is in the log', NOBODY),
  },
  people: {
    id: rule(NUMBER, NOBODY),
    name: rule('name', EMPTIED),
    email: rule('email', EMPTIED),
    phone: rule('phone', EMPTIED),
    coordinator: rule('roles', EMPTIED),
    created_at: rule('since', NOBODY),
    disabled_at: rule('not exported: who is shut out cannot sign in to see it', NOBODY),
  },
  sessions: {
    token_hash: rule(SECRET, DELETED),
    person_id: rule(NUMBER, DELETED),
    created_at: rule('sessions.started', DELETED),
    seen_at: rule('sessions.lastSeen', DELETED),
    expires_at: rule('sessions.ends', DELETED),
  },
  // Gone a day after they expire; the mail that carried each is in `mail`.
  sign_in_links: {
    ...each(['id', 'token_hash', 'code_hash', 'browser_hash'], rule(SECRET, DELETED)),
    ...each(['email', 'next', 'wrong_codes', 'created_at', 'expires_at', 'used_at'], rule('not exported: gone within days', DELETED)),
  },
  leaders: {
    person_id: rule(NUMBER, NOBODY),
    area_id: rule('leader.area', NOBODY),
    state: rule('leader.state', 'emptied: stood down'),
    since_month: rule('leader.sinceMonth', NOBODY),
    created_at: rule('leader.createdAt', NOBODY),
    agreement_due_at: rule('leader.agreementDue', NOBODY),
    days: rule('leader.days', EMPTIED),
    longest_metres: rule('leader.longestMetres', EMPTIED),
    shortest_metres: rule('leader.shortestMetres', EMPTIED),
    first_aid_until: rule('leader.firstAidUntil', EMPTIED),
    offers_first: rule('leader.offersFirst', EMPTIED),
  },
  leader_areas: {
    person_id: rule(NUMBER, DELETED),
    area_id: rule('leader.otherAreas', DELETED),
  },
  applications: {
    id: rule('applications.application', DELETED),
    person_id: rule(NUMBER, DELETED),
    state: rule('applications.state', DELETED),
    name: rule('applications.name', DELETED),
    phone: rule('applications.phone', DELETED),
    area_id: rule('applications.area', DELETED),
    why: rule('applications.why', DELETED),
    days: rule('applications.days', DELETED),
    longest_metres: rule('applications.longestMetres', DELETED),
    other_areas: rule('applications.otherAreas', DELETED),
    question: rule('applications.question', DELETED),
    asked_at: rule('applications.asked', DELETED),
    answer: rule('applications.answer', DELETED),
    answered_at: rule('applications.answered', DELETED),
    words: rule('applications.words', DELETED),
    created_at: rule('applications.applied', DELETED),
    changed_at: rule('applications.changed', DELETED),
    ready_at: rule('applications.ready', DELETED),
    decided_at: rule('applications.decided', DELETED),
    decided_by: rule('not exported: that it was decided is, by whom is in the log', NOBODY),
  },
  pledges: {
    person_id: rule(NUMBER, NOBODY),
    from_month: rule('leader.pledges.fromMonth', NOBODY),
    walks: rule('leader.pledges.walks', NOBODY),
  },
  excused_months: {
    person_id: rule(NUMBER, NOBODY),
    month: rule('leader.excusedMonths.month', NOBODY),
    reason: rule('leader.excusedMonths.reason', EMPTIED),
    by_person_id: rule('leader.excusedMonths.by', NOBODY),
    at: rule('leader.excusedMonths.at', NOBODY),
  },
  leader_terms: {
    person_id: rule(NUMBER, NOBODY),
    from_month: rule('leader.terms.fromMonth', NOBODY),
    until_month: rule('leader.terms.untilMonth', 'emptied: the one that ran ends'),
    at: rule('leader.terms.approved', NOBODY),
  },
  commitment_mails: {
    person_id: rule(NUMBER, DELETED),
    wanted: rule('leader.monthlyMail', DELETED),
    off_hash: rule(SECRET, DELETED),
    decided_month: rule('leader.monthlyMailDecided', DELETED),
  },
  handbook_reads: {
    person_id: rule(NUMBER, DELETED),
    page: rule('handbookRead.page', DELETED),
    at: rule('handbookRead.at', DELETED),
  },
  quiz_questions: {
    ...each(['id', 'page', 'question', 'answers', 'right_answer', 'explanation', 'replaces_id', 'created_at', 'retired_at'], no),
    ...each(['by_person_id', 'retired_by_person_id'], rule('not exported: that a question was written or retired is in the log', NOBODY)),
  },
  plan_weeks: {
    ...each(['event_day', 'week_from', 'weekday_metres', 'saturday_metres', 'sunday_metres', 'changed_at'], no),
    changed_by: rule('not exported: that a week of the season plan was changed is in the log', NOBODY),
  },
  quiz_attempts: {
    id: rule(NUMBER, DELETED),
    person_id: rule(NUMBER, DELETED),
    started_at: rule('quiz.started', DELETED),
    pass_percent: rule('quiz.passPercent', DELETED),
    ended_at: rule('quiz.ended', DELETED),
    right_count: rule('quiz.right', DELETED),
    passed: rule('quiz.passed', DELETED),
  },
  quiz_attempt_questions: {
    attempt_id: rule(NUMBER, DELETED),
    place: rule('not exported: the order of the questions', DELETED),
    question_id: rule('quiz.questions.question', DELETED),
    answer_order: rule('not exported: the order in which the answers were shown', DELETED),
    chosen: rule('quiz.questions.chosen', DELETED),
  },
  audit_log: {
    id: no,
    at: rule('log.at', NOBODY),
    person_id: rule('log.by', NOBODY),
    action: rule('log.action', NOBODY),
    subject: rule('log.subject', NOBODY),
    detail: rule(
      'log.detail',
      'emptied: what was typed when emergency details were opened, or when they were approved too soon; who saw a signature',
    ),
  },
  erased: each(['mark', 'at', 'proof'], rule(DIGEST, 'kept: so that a backup that is put back is erased again')),
  routes: {
    id: rule('routes.route', NOBODY),
    by_person_id: rule(NUMBER, NOBODY),
    created_at: rule('routes.brought', NOBODY),
    length_metres: rule('routes.lengthMetres', NOBODY),
    shape: rule('routes.shape', NOBODY),
    // A way over public ground without anyone's times.
    ...each(
      ['ascent_metres', 'descent_metres', 'point_count', 'line', 'line_error_metres', 'profile', 'turns', 'waypoints', 'sha256', 'gpx'],
      no,
    ),
  },
  forecasts: {
    ...each(['walk_id', 'wall_date', 'temperature_celsius', 'humidity', 'wind_metres_per_second'], no),
    by_person_id: rule(NUMBER, NOBODY),
    at: rule('walksLed.forecastTyped', NOBODY),
  },
  sign_ups: {
    id: rule('waivers.withSignUp', NOBODY),
    walk_id: rule('signUps.walk', NOBODY),
    token_hash: rule('signUps.privatePage', EMPTIED),
    post_mark: rule(DIGEST, EMPTIED),
    state: rule('signUps.state', NOBODY),
    name: rule('signUps.name', EMPTIED),
    email: rule('email', EMPTIED),
    phone: rule('signUps.phone', EMPTIED),
    phone_typed: rule('signUps.phoneTyped', EMPTIED),
    party_size: rule('signUps.people', NOBODY),
    rules_text_id: rule('signUps.rulesVersion', NOBODY),
    rules_agreed_at: rule('signUps.rulesAgreed', NOBODY),
    told_version: rule('signUps.toldOfVersion', NOBODY),
    created_at: rule('signUps.signedUp', NOBODY),
    withdrawn_at: rule('signUps.withdrawn', NOBODY),
    proved_at: rule('signUps.addressShown', NOBODY),
  },
  party_members: {
    id: rule('signUps.members.member', NOBODY),
    sign_up_id: rule(NUMBER, NOBODY),
    name: rule('signUps.members.name', EMPTIED),
    minor: rule('signUps.members.minor', NOBODY),
    guardian_id: rule(NUMBER, NOBODY),
    removed_at: rule('signUps.members.removed', NOBODY),
    adult_on: rule('signUps.members.turns18', EMPTIED),
    email: rule('signUps.members.signsAt', EMPTIED),
    sign_token_hash: rule(SECRET, EMPTIED),
    photos: rule('signUps.members.photosAllowed', EMPTIED),
    rules_agreed_at: rule('signUps.members.rulesAgreed', NOBODY),
    rules_text_id: rule('signUps.members.rulesVersion', NOBODY),
  },
  emergency_contacts: {
    member_id: rule(NUMBER, DELETED),
    sealed: rule('signUps.members.emergencyContact', DELETED),
    created_at: rule('not exported: as the sign-up, or its change', DELETED),
  },
  kept_contacts: {
    id: rule(NUMBER, DELETED),
    person_id: rule(NUMBER, DELETED),
    for_name: rule('keptContacts.for', DELETED),
    for_key: rule('not exported: the name, folded', DELETED),
    sealed: rule('keptContacts.contact', DELETED),
    kept_at: rule('keptContacts.kept', DELETED),
    expires_at: rule('keptContacts.until', DELETED),
  },
  notices: {
    kind: rule('mail.kind', DELETED),
    state: rule('mail.state', DELETED),
    walk_id: rule('mail.walk', DELETED),
    to_name: rule('mail.toName', DELETED),
    to_email: rule('email', DELETED),
    created_at: rule('mail.made', DELETED),
    due_at: rule('mail.at', DELETED),
    ended_at: rule('mail.at', DELETED),
    attempts: rule('mail.attempts', DELETED),
    last_error: rule('mail.lastError', DELETED),
    // Mail to others keeps its row; the names in it go: server/privacy/blank-notices.ts.
    content: rule('not exported: it is in the mail', DELETED),
    event: rule('not exported: names the cause, for the program', DELETED),
    message_id: rule('not exported: it is in the mail', DELETED),
    ...each(
      ['id', 'sign_up_id', 'version', 'give_up_at', 'unsure', 'lease', 'lease_until', 'lot'],
      rule('not exported: for the delivery', DELETED),
    ),
  },
  waivers: {
    id: rule('waivers.document', EVIDENCE),
    how: rule('waivers.how', EVIDENCE),
    text_id: rule('waivers.textVersion', EVIDENCE),
    text_sha256: rule('waivers.textSha256', EVIDENCE),
    sign_up_id: rule('waivers.withSignUp', EVIDENCE),
    member_id: rule(NUMBER, EVIDENCE),
    email: rule('email', EMPTIED),
    address_mark: rule(DIGEST, EVIDENCE),
    for_name: rule('waivers.forName', EVIDENCE),
    for_key: rule('not exported: the name, folded', EVIDENCE),
    signed_as: rule('waivers.signedAs', EVIDENCE),
    signer_name: rule('waivers.signerName', EVIDENCE),
    signer_key: rule('not exported: the name, folded', EVIDENCE),
    signature: rule('waivers.signature', EVIDENCE),
    intent: rule('waivers.intent', EVIDENCE),
    consent: rule('waivers.consent', EVIDENCE),
    proof: rule('waivers.proof', EVIDENCE),
    seen_by: rule('waivers.seenBy', EVIDENCE),
    signed_at: rule('waivers.signedAt', EVIDENCE),
    kept_at: rule('waivers.keptAt', EVIDENCE),
    document_sha256: rule('waivers.documentSha256', EVIDENCE),
    ...each(['format', 'previous', 'hash'], rule('not exported: holds the evidence together', EVIDENCE)),
  },
  waiver_head: each(['id', 'waivers', 'hash', 'mark'], no),
  waiver_traces: {
    waiver_id: rule('waivers.document', DELETED),
    address: rule('waivers.signedFrom', DELETED),
    agent: rule('waivers.signedWith', DELETED),
    at: rule('waivers.keptAt', DELETED),
  },
  // What was written to everyone stays with the walk; names and numbers of whoever is erased go out of it: server/privacy/blank-messages.ts.
  messages: {
    id: no,
    walk_id: rule('messages.walk', NOBODY),
    by_person_id: rule(NUMBER, NOBODY),
    from_name: rule('messages.from', EMPTIED),
    subject: rule('messages.subject', SAID),
    text: rule('messages.text', SAID),
    at: rule('messages.sent', NOBODY),
    audience: rule('messages.to', NOBODY),
    count: rule('messages.mails', NOBODY),
  },
  ask_letters: {
    id: rule(NUMBER, NOBODY),
    to_person_id: rule('asks.askedOf', DELETED),
    by_person_id: rule('asks.askedOf', NOBODY),
    note: rule('asks.note', EMPTIED),
    token_hash: rule(SECRET, DELETED),
    created_at: rule('asks.made', NOBODY),
  },
  asks: {
    ...each(['id', 'letter_id'], rule(NUMBER, DELETED)),
    to_person_id: rule('asks.askedOf', DELETED),
    area_id: rule('asks.area', DELETED),
    need: rule('asks.need', DELETED),
    week: rule('asks.week', DELETED),
    month: rule('asks.month', DELETED),
    day_kind: rule('asks.kind', DELETED),
    date: rule('asks.date', DELETED),
    least_metres: rule('asks.leastMetres', DELETED),
    best_metres: rule('asks.bestMetres', DELETED),
    most_metres: rule('asks.mostMetres', DELETED),
    state: rule('asks.state', DELETED),
    answered_at: rule('asks.answered', DELETED),
  },
  board_visits: {
    person_id: rule(NUMBER, DELETED),
    seen_at: rule('boardSeen.at', DELETED),
    until_month: rule('boardSeen.until', DELETED),
    gaps: rule('boardSeen.gaps', DELETED),
  },
  calendar_feeds: {
    person_id: rule(NUMBER, DELETED),
    ...each(['salt', 'token_hash'], rule(SECRET, DELETED)),
    made_at: rule('leader.calendarMade', DELETED),
  },
  // What a walk says is said to everyone, by the group; who leads it is in walk_leaders.
  walks: each(
    [
      'id',
      'uid',
      'state',
      'version',
      'sequence',
      'area_id',
      'route_name',
      'locality',
      'wall_date',
      'wall_time',
      'wall_set_off',
      'zone',
      'doubled_offset',
      'gather_at',
      'set_off_at',
      'month',
      'meeting_point',
      'landmark',
      'lat',
      'lon',
      'distance_metres',
      'ascent_metres',
      'surfaces',
      'step_free',
      'capacity',
      'dogs',
      'minors',
      'theme',
      'directions',
      'description',
      'bring',
      'moved',
      'previous_gather_at',
      'cancel_kind',
      'cancel_reason',
      'created_at',
      'updated_at',
      'posted_at',
      'cancelled_at',
      'closed_at',
      'route_id',
      'effort_metres',
      'stops',
      'seen_on',
      'explained',
      'series_id',
    ],
    no,
  ),
  standing_notes: {
    id: rule(NUMBER, DELETED),
    person_id: rule(NUMBER, DELETED),
    title: rule('standingNotes.title', DELETED),
    body: rule('standingNotes.text', DELETED),
    goes_into: rule('standingNotes.goesInto', DELETED),
    created_at: rule('standingNotes.kept', DELETED),
  },
  series: {
    id: no,
    by_person_id: rule('not exported: the walks are, and their versions', NOBODY),
    created_at: no,
  },
  walk_leaders: {
    walk_id: rule('walksLed.walk', NOBODY),
    person_id: rule(NUMBER, NOBODY),
    part: rule('walksLed.part', NOBODY),
  },
  packs: {
    ...each(['id', 'walk_id', 'version', 'parts', 'contacts'], no),
    at: rule('not exported: that contacts were opened is, and in the log', NOBODY),
    by_person_id: rule('not exported: that contacts were opened is, and in the log', NOBODY),
    list: rule(NUMBER, NOBODY),
    digest: rule(DIGEST, NOBODY),
  },
  walk_offers: {
    id: rule(NUMBER, NOBODY),
    walk_id: rule('offers.walk', NOBODY),
    kind: rule('offers.kind', NOBODY),
    to_person_id: rule('offers.askedOf', NOBODY),
    by_person_id: rule('offers.askedOf', NOBODY),
    stays: rule('offers.leaderStays', NOBODY),
    // Both are about the one who is asked, whoever of the two typed them.
    note: rule('offers.note', EMPTIED),
    words: rule('offers.words', EMPTIED),
    token_hash: rule(SECRET, EMPTIED),
    state: rule('offers.state', 'emptied: an open one is closed'),
    created_at: rule('offers.made', NOBODY),
    ended_at: rule('offers.ended', NOBODY),
  },
  // What was said of someone by their number; server/privacy/forget.ts takes it with the sign-ups' time.
  roll_entries: {
    ...each(['id', 'entry', 'after'], no),
    walk_id: rule('roll.walk', NOBODY),
    who: rule('roll.onRollAs', NOBODY),
    said: rule('roll.said', NOBODY),
    received_at: rule('roll.heard', NOBODY),
    ...each(['device', 'device_at', 'sent_at'], rule('not exported: what a phone of a leader calls itself, and its clock', NOBODY)),
    by_person_id: rule('roll.by', NOBODY),
  },
  turned_up: {
    id: rule('turnedUp.number', NOBODY),
    walk_id: rule('turnedUp.walk', NOBODY),
    key: rule('turnedUp.onRollAs', NOBODY),
    name: rule('turnedUp.name', EMPTIED),
    minor: rule('turnedUp.minor', NOBODY),
    guardian: rule('turnedUp.guardian', NOBODY),
    phone: rule('turnedUp.phone', EMPTIED),
    email: rule('email', EMPTIED),
    waiver_id: rule('turnedUp.waiver', NOBODY),
    added_at: rule('turnedUp.added', NOBODY),
    added_by: rule('not exported: that somebody was put on the roll is in the log', NOBODY),
    rules_text_id: rule('turnedUp.rulesVersion', NOBODY),
    rules_agreed_at: rule('turnedUp.rulesAgreed', NOBODY),
  },
  turned_up_contacts: {
    turned_up_id: rule(NUMBER, DELETED),
    sealed: rule('turnedUp.emergencyContact', DELETED),
    created_at: rule('not exported: as they were put on the roll, or its change', DELETED),
  },
  // Sealed, and gone by the timetable. While one is open it holds the contact of the person concerned: server/incidents/holds.ts.
  incidents: {
    id: rule('incidents.incident', HAPPENED),
    walk_id: rule('incidents.walk', HAPPENED),
    post_mark: no,
    who: rule('incidents.about', HAPPENED),
    called: rule('incidents.emergencyServicesCalled', HAPPENED),
    state: rule('incidents.state', HAPPENED),
    due_on: rule('incidents.due', HAPPENED),
    assigned_to: rule('incidents.followedUpBy', NOBODY),
    outcome: rule('incidents.outcome', HAPPENED),
    created_at: rule('incidents.written', HAPPENED),
    by_person_id: rule('incidents.by', NOBODY),
    closed_at: rule('incidents.closed', HAPPENED),
    closed_by: rule('not exported: that it was closed is in the log', NOBODY),
  },
  incident_versions: {
    ...each(['id', 'incident_id', 'version', 'at'], rule('not exported: leads to a record that may be about others, too', HAPPENED)),
    record_sealed: rule('not exported: it may be about others, too; a coordinator goes through it with you', HAPPENED),
    by_person_id: rule('not exported: that it was written or changed is in the log', NOBODY),
  },
  incident_notes: {
    ...each(['id', 'incident_id', 'at'], rule('not exported: leads to a record that may be about others, too', HAPPENED)),
    note_sealed: rule('not exported: it may be about others, too; a coordinator goes through it with you', HAPPENED),
    by_person_id: rule('not exported: that it was noted is in the log', NOBODY),
  },
  // How far someone walked belongs to their place in a party, which is emptied: the number of walkers stays.
  attendance: {
    id: no,
    walk_id: rule('walkLog.walk', NOBODY),
    ...each(['member_id', 'turned_up_id'], rule(NUMBER, NOBODY)),
    outcome: rule('walkLog.outcome', NOBODY),
    stop: rule('not exported: how far that is, is', NOBODY),
    metres: rule('walkLog.metres', NOBODY),
  },
  // What is in the way is said to whoever leads on the route next.
  hazards: {
    ...each(['id', 'key', 'area_id', 'route_key', 'route_sha256'], no),
    walk_id: rule('hazardsNoted.walk', NOBODY),
    place: rule('hazardsNoted.place', SAID_OF_ROUTE),
    what: rule('hazardsNoted.what', SAID_OF_ROUTE),
    until_date: rule('hazardsNoted.until', SAID_OF_ROUTE),
    noted_at: rule('hazardsNoted.noted', NOBODY),
    noted_by: rule(NUMBER, NOBODY),
    gone_at: rule('hazardsNoted.gone', NOBODY),
    gone_by: rule('not exported: that it is gone is', NOBODY),
  },
  walk_changes: {
    ...each(['walk_id', 'version', 'kind', 'facts', 'at'], no),
    by_person_id: rule('walksLed.versionsWritten', NOBODY),
  },
};
