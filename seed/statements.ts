import type { Db } from '../server/db/open.js';

/** The inserts of a region. Prepared once: thousands of rows are laid while someone waits for the demo to answer. */
export function prepare(raw: Db['raw']) {
  return {
    area: raw.prepare(`INSERT INTO areas (id, slug, name, lat, lon, radius_metres, zone, emergency_number, created_at)
      VALUES (@id, @slug, @name, @lat, @lon, @radiusMetres, @zone, '911', @createdAt)`),
    person: raw.prepare(`INSERT INTO people (id, name, email, phone, coordinator, created_at)
      VALUES (@id, @name, @email, @phone, @coordinator, @createdAt)`),
    leader: raw.prepare(`INSERT INTO leaders (person_id, area_id, state, since_month, created_at) VALUES (?, ?, 'approved', ?, ?)`),
    term: raw.prepare('INSERT INTO leader_terms (person_id, from_month, at) VALUES (?, ?, ?)'),
    pledge: raw.prepare('INSERT INTO pledges (person_id, from_month, walks) VALUES (?, ?, ?)'),
    excused: raw.prepare(
      'INSERT INTO excused_months (person_id, month, reason, by_person_id, at) VALUES (@personId, @month, @reason, @personId, @at)',
    ),
    walk: raw.prepare(`INSERT INTO walks (id, uid, state, version, sequence, area_id, route_id, route_name, locality, wall_date, wall_time, wall_set_off,
        zone, doubled_offset, gather_at, set_off_at, month, meeting_point, landmark, lat, lon, distance_metres, ascent_metres, effort_metres, stops,
        surfaces, step_free,
        capacity, dogs, minors, theme, directions, description, bring, seen_on, explained, moved, cancel_kind, cancel_reason, created_at, updated_at, posted_at,
        cancelled_at, closed_at)
      VALUES (@id, @uid, @state, @version, @sequence, @areaId, @routeId, @routeName, @locality, @date, @gather, @setOff,
        @zone, @doubledOffset, @gatherAt, @setOffAt, @month, @meetingPoint, @landmark, @lat, @lon, @distanceMetres, @ascentMetres, @effortMetres, @stops,
        @surfaces, @stepFree,
        @capacity, @dogs, @minors, @theme, @directions, @description, @bring, @seenOn, @explained, @moved, @cancelKind, @cancelReason, @createdAt, @updatedAt, @postedAt,
        @cancelledAt, @closedAt)`),
    walkLeader: raw.prepare('INSERT INTO walk_leaders (walk_id, person_id, part) VALUES (?, ?, ?)'),
    walkChange: raw.prepare('INSERT INTO walk_changes (walk_id, version, kind, by_person_id, facts, at) VALUES (?, ?, ?, ?, ?, ?)'),
    signUp: raw.prepare(`INSERT INTO sign_ups (id, walk_id, token_hash, post_mark, state, name, email, phone, phone_typed, party_size,
        rules_text_id, rules_agreed_at, told_version, created_at, withdrawn_at)
      VALUES (@id, @walkId, @tokenHash, @postMark, @state, @name, @email, @phone, @phoneTyped, @partySize,
        @rulesTextId, @createdAt, @toldVersion, @createdAt, @withdrawnAt)`),
    member: raw.prepare(`INSERT INTO party_members (id, sign_up_id, name, minor, guardian_id, email, sign_token_hash, photos)
      VALUES (@id, @signUpId, @name, @minor, @guardianId, @email, @signTokenHash, @photos)`),
    contact: raw.prepare('INSERT INTO emergency_contacts (member_id, sealed, created_at) VALUES (?, ?, ?)'),
    forecast:
      raw.prepare(`INSERT INTO forecasts (walk_id, wall_date, temperature_celsius, humidity, wind_metres_per_second, by_person_id, at)
      VALUES (@walkId, @date, @temperatureCelsius, @humidity, @windMetresPerSecond, @by, @at)`),
    notice: raw.prepare(`INSERT INTO notices (event, kind, state, walk_id, sign_up_id, version, to_name, to_email, message_id, content,
        created_at, due_at, give_up_at, attempts, ended_at)
      VALUES (@event, @kind, 'kept', @walkId, @signUpId, @version, @toName, @toEmail, @messageId, @content,
        @at, @at, @giveUpAt, 0, @at)`),
  };
}
