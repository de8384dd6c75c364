-- Messages to a walk's sign-ups, and leaders' own calendar addresses.

-- What someone wrote to everyone on a walk. It outlives the mails it went out in, which are notices. count is how many mails. at is the first sending; the same words again within minutes are the same
-- message. from_name is the writer's name as the mails say it; by_person_id is empty where nobody knows who that was.
-- audience: everyone (confirmed and waiting, before people gather), confirmed (from then on).
CREATE TABLE messages (
  id INTEGER PRIMARY KEY,
  walk_id INTEGER NOT NULL REFERENCES walks (id),
  by_person_id INTEGER REFERENCES people (id),
  from_name TEXT NOT NULL,
  subject TEXT NOT NULL,
  text TEXT NOT NULL,
  at INTEGER NOT NULL,
  audience TEXT NOT NULL CHECK (audience IN ('everyone', 'confirmed')),
  count INTEGER NOT NULL CHECK (count >= 0)
) STRICT;
CREATE INDEX messages_walk ON messages (walk_id, at);
CREATE INDEX messages_writer ON messages (by_person_id, at);
-- Those sent so far stood in their mails only.
INSERT INTO messages (walk_id, by_person_id, from_name, subject, text, at, audience, count)
SELECT sent.walk_id,
  (SELECT CASE count(*) WHEN 1 THEN min(p.id) END FROM people p WHERE p.name = sent.from_name
    AND (p.coordinator = 1 OR EXISTS (SELECT 1 FROM walk_leaders l WHERE l.walk_id = sent.walk_id AND l.person_id = p.id))),
  sent.from_name, sent.subject, sent.text, sent.at, 'everyone', sent.count
FROM (
  SELECT walk_id, content ->> '$.walk.message.from' AS from_name, content ->> '$.walk.message.subject' AS subject,
    content ->> '$.walk.message.text' AS text, content ->> '$.walk.message.at' AS at, count(*) AS count
  FROM notices WHERE kind = 'message' AND walk_id IS NOT NULL AND content ->> '$.walk.message.at' IS NOT NULL GROUP BY 1, 2, 3, 4, 5
) AS sent ORDER BY sent.at;

-- A leader's private calendar address: the secret in it is derived from salt, so that it can be shown again. Turned off, it has no row; a new address is a new salt.
CREATE TABLE calendar_feeds (
  person_id INTEGER PRIMARY KEY REFERENCES people (id),
  salt TEXT NOT NULL,
  token_hash TEXT NOT NULL UNIQUE,
  made_at INTEGER NOT NULL
) STRICT;
-- A walk's version may be that it was handed over. The table is rebuilt for its CHECK.
CREATE TABLE walk_changes_new (
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  version INTEGER NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('created', 'posted', 'edited', 'cancelled', 'zone', 'handed over')),
  by_person_id INTEGER REFERENCES people (id),
  facts TEXT NOT NULL CHECK (json_valid(facts)),
  at INTEGER NOT NULL,
  PRIMARY KEY (walk_id, version)
) STRICT, WITHOUT ROWID;
INSERT INTO walk_changes_new (walk_id, version, kind, by_person_id, facts, at)
SELECT walk_id, version, kind, by_person_id, facts, at FROM walk_changes;
DROP TABLE walk_changes;
ALTER TABLE walk_changes_new RENAME TO walk_changes;

-- What leaders ask each other: to share a walk (co-leader), or to lead it instead (hand-over).
-- stays: whoever led it shares it from then on. note: from who asks; words: from who was asked, with the answer.
-- token_hash: of the private address by which it is answered. A number is never given out twice, since that address is worked out from it.
CREATE TABLE walk_offers (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  kind TEXT NOT NULL CHECK (kind IN ('co-leader', 'hand-over')),
  to_person_id INTEGER NOT NULL REFERENCES leaders (person_id),
  by_person_id INTEGER NOT NULL REFERENCES people (id),
  stays INTEGER NOT NULL CHECK (stays IN (0, 1)),
  note TEXT NOT NULL,
  words TEXT NOT NULL DEFAULT '',
  token_hash TEXT NOT NULL UNIQUE,
  state TEXT NOT NULL CHECK (state IN ('open', 'accepted', 'declined', 'withdrawn', 'closed')),
  created_at INTEGER NOT NULL,
  ended_at INTEGER,
  CHECK ((state = 'open') = (ended_at IS NULL))
) STRICT;
CREATE UNIQUE INDEX walk_offers_once ON walk_offers (walk_id, kind, to_person_id) WHERE state = 'open';
CREATE INDEX walk_offers_walk ON walk_offers (walk_id, state);
CREATE INDEX walk_offers_to ON walk_offers (to_person_id, state);
CREATE INDEX walk_offers_by ON walk_offers (by_person_id);
-- The stretches in which someone leads: a month is asked of them from from_month on, and from until_month (in which they were stood down) no more. at: when they were approved, ms.
CREATE TABLE leader_terms (
  person_id INTEGER NOT NULL REFERENCES leaders (person_id) ON DELETE CASCADE,
  from_month TEXT NOT NULL CHECK (from_month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
  until_month TEXT CHECK (until_month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]' AND until_month >= from_month),
  at INTEGER NOT NULL,
  PRIMARY KEY (person_id, from_month)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX leader_terms_open ON leader_terms (person_id) WHERE until_month IS NULL;

-- Of those stood down already the log says when; where it does not, their last walk does. Twelve hours off, since the log is in UTC: rather a month too few than one too many.
INSERT INTO leader_terms (person_id, from_month, until_month, at)
SELECT l.person_id, l.since_month,
  CASE WHEN l.state = 'stood_down' THEN max(l.since_month, coalesce(
    (SELECT strftime('%Y-%m', max(a.at) / 1000, 'unixepoch', '-12 hours') FROM audit_log a
      WHERE a.subject = 'person:' || l.person_id AND a.action = 'stood a leader down'),
    (SELECT strftime('%Y-%m', max(w.month) || '-01', '+1 month') FROM walk_leaders wl JOIN walks w ON w.id = wl.walk_id
      WHERE wl.person_id = l.person_id AND w.state IN ('posted', 'closed')),
    l.since_month)) END,
  l.created_at
FROM leaders l;

-- Who excused a month, and when; null in rows from before they were kept.
ALTER TABLE excused_months ADD COLUMN by_person_id INTEGER REFERENCES people (id);
ALTER TABLE excused_months ADD COLUMN at INTEGER;

-- The monthly mail to a leader: whether they want it, the hash of the address that turns it off, and the last month for which it was decided whether they need one. No row: wanted, never decided.
CREATE TABLE commitment_mails (
  person_id INTEGER PRIMARY KEY REFERENCES leaders (person_id) ON DELETE CASCADE,
  wanted INTEGER NOT NULL DEFAULT 1 CHECK (wanted IN (0, 1)),
  off_hash TEXT,
  decided_month TEXT CHECK (decided_month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]')
) STRICT;
CREATE UNIQUE INDEX commitment_mails_off ON commitment_mails (off_hash) WHERE off_hash IS NOT NULL;

-- All that counting walks by month asks of a walk, so that a region's years are counted without opening one.
CREATE INDEX walks_counted ON walks (month, state, cancel_kind, set_off_at, posted_at);
-- Handbook pages that a person marked as read. Pages are files of the program, known by the name in their address.
CREATE TABLE handbook_reads (
  person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
  page TEXT NOT NULL,
  at INTEGER NOT NULL,
  PRIMARY KEY (person_id, page)
) STRICT, WITHOUT ROWID;
CREATE INDEX handbook_reads_at ON handbook_reads (at);

-- Questions of the leaders' quiz. An edit is a new row that retires the one it replaces, so that past attempts keep what was asked; two edits of one row are impossible.
-- page: of the handbook. right_answer: counted from 0. created_at, by_person_id: NULL for those that came with the program.
CREATE TABLE quiz_questions (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  page TEXT NOT NULL,
  question TEXT NOT NULL CHECK (question <> ''),
  answers TEXT NOT NULL CHECK (json_valid(answers) AND json_type(answers) = 'array' AND json_array_length(answers) BETWEEN 2 AND 5),
  right_answer INTEGER NOT NULL CHECK (right_answer >= 0 AND right_answer < json_array_length(answers)),
  explanation TEXT NOT NULL,
  replaces_id INTEGER REFERENCES quiz_questions (id),
  created_at INTEGER,
  by_person_id INTEGER REFERENCES people (id),
  retired_at INTEGER,
  retired_by_person_id INTEGER REFERENCES people (id)
) STRICT;
CREATE UNIQUE INDEX quiz_questions_replaces ON quiz_questions (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX quiz_questions_in_use ON quiz_questions (page, id) WHERE retired_at IS NULL;
CREATE INDEX quiz_questions_retired ON quiz_questions (retired_at) WHERE retired_at IS NOT NULL;

-- One try at the quiz, with the pass mark of its day; one open at a time.
CREATE TABLE quiz_attempts (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
  started_at INTEGER NOT NULL,
  pass_percent INTEGER NOT NULL CHECK (pass_percent BETWEEN 1 AND 100),
  ended_at INTEGER,
  right_count INTEGER CHECK ((right_count IS NULL) = (ended_at IS NULL)),
  passed INTEGER CHECK ((passed IS NULL) = (ended_at IS NULL) AND passed IN (0, 1))
) STRICT;
CREATE UNIQUE INDEX quiz_attempts_open ON quiz_attempts (person_id) WHERE ended_at IS NULL;
CREATE INDEX quiz_attempts_person ON quiz_attempts (person_id, id);
CREATE INDEX quiz_attempts_started ON quiz_attempts (started_at);

-- What an attempt asks, in its order. answer_order: the question's answers in the order drawn. chosen: the answer given, counted as in the question; NULL until the attempt ends.
CREATE TABLE quiz_attempt_questions (
  attempt_id INTEGER NOT NULL REFERENCES quiz_attempts (id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  question_id INTEGER NOT NULL REFERENCES quiz_questions (id),
  answer_order TEXT NOT NULL CHECK (json_valid(answer_order)),
  chosen INTEGER,
  PRIMARY KEY (attempt_id, place)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX quiz_attempt_questions_question ON quiz_attempt_questions (question_id, attempt_id);
-- How someone comes to lead walks: what they apply with, the leader's agreement they sign, and what a leader is ready to lead.

-- An application to lead walks, as it was typed. days: weekdays as numbers, 1 is Monday; other_areas: numbers of areas besides area_id. question and answer: what a coordinator asked last, and
-- what came back. ready_at: when every step was found done and the coordinators were told. words: what a coordinator gave as the reason when they declined.
CREATE TABLE applications (
  id INTEGER PRIMARY KEY,
  person_id INTEGER NOT NULL REFERENCES people (id),
  state TEXT NOT NULL CHECK (state IN ('open', 'approved', 'declined', 'withdrawn')),
  name TEXT NOT NULL,
  phone TEXT NOT NULL,
  area_id INTEGER NOT NULL REFERENCES areas (id),
  why TEXT NOT NULL,
  days TEXT NOT NULL CHECK (json_valid(days)),
  longest_metres INTEGER NOT NULL CHECK (longest_metres > 0),
  other_areas TEXT NOT NULL CHECK (json_valid(other_areas)),
  question TEXT NOT NULL DEFAULT '',
  asked_at INTEGER,
  answer TEXT NOT NULL DEFAULT '',
  answered_at INTEGER,
  words TEXT NOT NULL DEFAULT '',
  created_at INTEGER NOT NULL,
  changed_at INTEGER NOT NULL,
  ready_at INTEGER,
  decided_at INTEGER,
  decided_by INTEGER REFERENCES people (id),
  CHECK ((state = 'open') = (decided_at IS NULL)),
  CHECK ((question = '') = (asked_at IS NULL)),
  CHECK ((answer = '') = (answered_at IS NULL))
) STRICT;
CREATE UNIQUE INDEX applications_open ON applications (person_id) WHERE state = 'open';
CREATE INDEX applications_person ON applications (person_id, id);
CREATE INDEX applications_state ON applications (state, decided_at);

-- agreement_due_at: from this instant on no new walk is posted until the agreement is signed. Those who lead already get thirty days.
ALTER TABLE leaders ADD COLUMN agreement_due_at INTEGER NOT NULL DEFAULT 0;
ALTER TABLE leaders ADD COLUMN days TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(days));
ALTER TABLE leaders ADD COLUMN longest_metres INTEGER CHECK (longest_metres > 0);
ALTER TABLE leaders ADD COLUMN shortest_metres INTEGER CHECK (shortest_metres > 0);
ALTER TABLE leaders ADD COLUMN first_aid_until TEXT CHECK (first_aid_until GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]');
ALTER TABLE leaders ADD COLUMN offers_first INTEGER NOT NULL DEFAULT 0 CHECK (offers_first IN (0, 1));
UPDATE leaders SET agreement_due_at = unixepoch() * 1000 + 30 * 86400000;
CREATE INDEX leaders_due ON leaders (agreement_due_at) WHERE state = 'approved';

-- Areas besides their own in which someone leads, too.
CREATE TABLE leader_areas (
  person_id INTEGER NOT NULL REFERENCES leaders (person_id) ON DELETE CASCADE,
  area_id INTEGER NOT NULL REFERENCES areas (id),
  PRIMARY KEY (person_id, area_id)
) STRICT, WITHOUT ROWID;

-- A leader's agreement is a signature like any other, in the same chain: signed_as 'leader', by someone signed in, with no sign-up. The rows stay as they are to the last byte, and so do their hashes.
CREATE TABLE waivers_new (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  how TEXT NOT NULL CHECK (how IN ('page', 'paper', 'file')),
  text_id INTEGER NOT NULL REFERENCES texts (id),
  text_sha256 TEXT NOT NULL,
  sign_up_id INTEGER REFERENCES sign_ups (id),
  member_id INTEGER REFERENCES party_members (id),
  email TEXT NOT NULL,
  address_mark TEXT NOT NULL,
  for_name TEXT NOT NULL,
  for_key TEXT NOT NULL,
  signed_as TEXT NOT NULL CHECK (signed_as IN ('self', 'guardian', 'leader')),
  signer_name TEXT NOT NULL,
  signer_key TEXT NOT NULL,
  signature TEXT NOT NULL,
  intent TEXT NOT NULL,
  consent TEXT NOT NULL,
  proof TEXT NOT NULL CHECK (proof IN ('none', 'link', 'signed in')),
  seen_by TEXT NOT NULL,
  signed_at INTEGER NOT NULL,
  kept_at INTEGER NOT NULL,
  format INTEGER NOT NULL,
  document_sha256 TEXT NOT NULL,
  previous TEXT NOT NULL,
  hash TEXT NOT NULL,
  CHECK (how = 'file' OR signed_as = 'leader' OR (sign_up_id IS NOT NULL AND member_id IS NOT NULL)),
  CHECK (signed_as <> 'leader' OR (how = 'page' AND proof = 'signed in' AND sign_up_id IS NULL AND member_id IS NULL)),
  CHECK ((how = 'page') = (seen_by = ''))
) STRICT;
INSERT INTO waivers_new
SELECT id, how, text_id, text_sha256, sign_up_id, member_id, email, address_mark, for_name, for_key, signed_as, signer_name, signer_key,
  signature, intent, consent, proof, seen_by, signed_at, kept_at, format, document_sha256, previous, hash
FROM waivers ORDER BY id;
-- The last number given is evidence, too: where it is higher than the last row's, rows were taken off the end, and that must still show.
DELETE FROM sqlite_sequence WHERE name = 'waivers_new';
INSERT INTO sqlite_sequence (name, seq) SELECT 'waivers_new', seq FROM sqlite_sequence WHERE name = 'waivers';
DROP TABLE waivers;
ALTER TABLE waivers_new RENAME TO waivers;
CREATE INDEX waivers_force ON waivers (email, text_id);
CREATE INDEX waivers_count ON waivers (text_id, how, signed_at) WHERE email <> '';
CREATE INDEX waivers_mark ON waivers (address_mark);
CREATE INDEX waivers_sign_up ON waivers (sign_up_id);
CREATE INDEX waivers_member ON waivers (member_id);
CREATE INDEX waivers_agreed ON waivers (email, signed_at) WHERE signed_as = 'leader';
CREATE TRIGGER waivers_stay BEFORE DELETE ON waivers BEGIN
  SELECT RAISE(ABORT, 'a signature is never deleted');
END;
-- INSERT OR REPLACE would pass by the two others.
CREATE TRIGGER waivers_added BEFORE INSERT ON waivers WHEN EXISTS (SELECT 1 FROM waivers WHERE id = NEW.id) BEGIN
  SELECT RAISE(ABORT, 'a signature is never changed: only its address can be erased');
END;
CREATE TRIGGER waivers_fixed BEFORE UPDATE ON waivers
WHEN OLD.hash <> '' AND NOT (NEW.email = '' AND NEW.id = OLD.id AND NEW.how = OLD.how AND NEW.text_id = OLD.text_id
  AND NEW.text_sha256 = OLD.text_sha256 AND NEW.sign_up_id IS OLD.sign_up_id AND NEW.member_id IS OLD.member_id
  AND NEW.address_mark = OLD.address_mark AND NEW.for_name = OLD.for_name AND NEW.for_key = OLD.for_key AND NEW.signed_as = OLD.signed_as
  AND NEW.signer_name = OLD.signer_name AND NEW.signer_key = OLD.signer_key AND NEW.signature = OLD.signature AND NEW.intent = OLD.intent
  AND NEW.consent = OLD.consent AND NEW.proof = OLD.proof AND NEW.seen_by = OLD.seen_by AND NEW.signed_at = OLD.signed_at
  AND NEW.kept_at = OLD.kept_at AND NEW.format = OLD.format AND NEW.document_sha256 = OLD.document_sha256
  AND NEW.previous = OLD.previous AND NEW.hash = OLD.hash)
BEGIN
  SELECT RAISE(ABORT, 'a signature is never changed: only its address can be erased');
END;
-- Paragraphs that a leader keeps, to put into the walks they post ("Parking at the weir car park"). goes_into is the field of the walk form that takes it.
CREATE TABLE standing_notes (
  id INTEGER PRIMARY KEY,
  person_id INTEGER NOT NULL REFERENCES people (id),
  title TEXT NOT NULL CHECK (title <> ''),
  body TEXT NOT NULL CHECK (body <> ''),
  goes_into TEXT NOT NULL CHECK (goes_into IN ('description', 'bring', 'directions')),
  created_at INTEGER NOT NULL
) STRICT;
CREATE INDEX standing_notes_person ON standing_notes (person_id, title);

-- Walks that were made from one another, on several dates: walks.series_id names it, the first one's too.
CREATE TABLE series (
  id INTEGER PRIMARY KEY,
  by_person_id INTEGER NOT NULL REFERENCES people (id),
  created_at INTEGER NOT NULL
) STRICT;
ALTER TABLE walks ADD COLUMN series_id INTEGER REFERENCES series (id);
CREATE INDEX walks_series ON walks (series_id, gather_at) WHERE series_id IS NOT NULL;

-- What one edit of several walks owes one address goes as one mail: its rows share lot (and to_email). Null: the row is a mail of its own.
ALTER TABLE notices ADD COLUMN lot TEXT;
CREATE INDEX notices_lot ON notices (lot) WHERE lot IS NOT NULL;
