-- The day of a walk. Somebody who walks without having signed up, as a leader entered them: the key is what the phone named them by before there was signal.
CREATE TABLE turned_up (
  id INTEGER PRIMARY KEY,
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  key TEXT NOT NULL CHECK (length(key) BETWEEN 8 AND 40 AND key NOT GLOB '*[^A-Za-z0-9_-]*'),
  name TEXT NOT NULL,
  minor INTEGER NOT NULL DEFAULT 0 CHECK (minor IN (0, 1)),
  -- Of a minor: who on the roll answers for them ("m12", "tKEY"); empty for an adult.
  guardian TEXT NOT NULL DEFAULT '',
  phone TEXT NOT NULL DEFAULT '',
  email TEXT NOT NULL DEFAULT '',
  waiver_id INTEGER REFERENCES waivers (id),
  added_at INTEGER NOT NULL,
  added_by INTEGER REFERENCES people (id),
  UNIQUE (walk_id, key)
) STRICT;
CREATE INDEX turned_up_waiver ON turned_up (waiver_id) WHERE waiver_id IS NOT NULL;

-- Whom to phone for them, sealed.
CREATE TABLE turned_up_contacts (
  turned_up_id INTEGER PRIMARY KEY REFERENCES turned_up (id) ON DELETE CASCADE,
  sealed BLOB NOT NULL,
  created_at INTEGER NOT NULL
) STRICT;

-- The roll: only ever added to; putting something right is another entry. entry is the id that the phone gave it, so that sent twice is once. who: "m12" a party member, "tKEY" somebody
-- who turned up, "group", "back" (the back marker). after: the entries that it answers, by which two phones come to the same roll whatever their clocks say and whichever is heard first.
CREATE TABLE roll_entries (
  id INTEGER PRIMARY KEY,
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  entry TEXT NOT NULL CHECK (length(entry) BETWEEN 16 AND 40 AND entry NOT GLOB '*[^A-Za-z0-9_-]*'),
  who TEXT NOT NULL CHECK (length(who) BETWEEN 2 AND 41),
  said TEXT NOT NULL CHECK (json_valid(said) AND json_type(said) = 'object'),
  after TEXT NOT NULL CHECK (json_valid(after) AND json_type(after) = 'array'),
  device TEXT NOT NULL CHECK (length(device) BETWEEN 8 AND 40),
  -- By the clock of the phone: when it was tapped, and when it was sent; and by ours, when it was heard.
  device_at INTEGER NOT NULL,
  sent_at INTEGER NOT NULL,
  received_at INTEGER NOT NULL,
  by_person_id INTEGER REFERENCES people (id),
  UNIQUE (walk_id, entry)
) STRICT;
-- Whether a leader said something of someone who has no place any more.
CREATE INDEX roll_entries_who ON roll_entries (walk_id, who);

-- When a day pack was made to be printed: at which version of the walk, with which parts, and how the list stood then ({"m12": 1}: who, and whether a waiver was in force), so that the
-- leader's page can say what changed since. No name is in it; digest is keyed, over names, phones and guardians, and says only whether one of them was put right.
CREATE TABLE packs (
  id INTEGER PRIMARY KEY,
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  at INTEGER NOT NULL,
  by_person_id INTEGER REFERENCES people (id),
  version INTEGER NOT NULL,
  parts TEXT NOT NULL CHECK (json_valid(parts) AND json_type(parts) = 'array'),
  contacts INTEGER NOT NULL CHECK (contacts IN (0, 1)),
  list TEXT NOT NULL CHECK (json_valid(list) AND json_type(list) = 'object'),
  digest TEXT NOT NULL
) STRICT;
CREATE INDEX packs_walk ON packs (walk_id);

-- Care: people who turn up, emergencies, incidents.
ALTER TABLE turned_up ADD COLUMN rules_text_id INTEGER REFERENCES texts (id);
ALTER TABLE turned_up ADD COLUMN rules_agreed_at INTEGER;
-- Whoever is erased is found by their address; a minor by their guardian on the same walk.
CREATE INDEX turned_up_email ON turned_up (email) WHERE email <> '';

-- What happened to somebody on a walk. What it was stands sealed in the versions and notes; here is only what the queue sorts by, and who on the roll is concerned ("m12", "tKEY"; empty:
-- somebody else), by which what is needed to reach them is held until it is closed. post_mark: the form's own, so that posted twice is once.
CREATE TABLE incidents (
  id INTEGER PRIMARY KEY,
  walk_id INTEGER NOT NULL REFERENCES walks (id),
  post_mark TEXT NOT NULL,
  who TEXT NOT NULL CHECK (length(who) <= 41),
  called INTEGER NOT NULL CHECK (called IN (0, 1)),
  state TEXT NOT NULL CHECK (state IN ('open', 'closed')),
  due_on TEXT NOT NULL CHECK (due_on GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  assigned_to INTEGER REFERENCES people (id),
  outcome TEXT NOT NULL DEFAULT '',
  created_at INTEGER NOT NULL,
  by_person_id INTEGER REFERENCES people (id),
  closed_at INTEGER,
  closed_by INTEGER REFERENCES people (id),
  UNIQUE (walk_id, post_mark),
  CHECK ((state = 'closed') = (closed_at IS NOT NULL))
) STRICT;
CREATE INDEX incidents_open ON incidents (due_on) WHERE state = 'open';
CREATE INDEX incidents_closed ON incidents (closed_at) WHERE state = 'closed';
CREATE INDEX incidents_by ON incidents (by_person_id);
CREATE INDEX incidents_assigned ON incidents (assigned_to);
CREATE INDEX incidents_about ON incidents (walk_id, who);

-- The record, sealed: only ever added to.
CREATE TABLE incident_versions (
  id INTEGER PRIMARY KEY,
  incident_id INTEGER NOT NULL REFERENCES incidents (id) ON DELETE CASCADE,
  version INTEGER NOT NULL,
  record_sealed BLOB NOT NULL,
  at INTEGER NOT NULL,
  by_person_id INTEGER REFERENCES people (id),
  UNIQUE (incident_id, version)
) STRICT;

CREATE TABLE incident_notes (
  id INTEGER PRIMARY KEY,
  incident_id INTEGER NOT NULL REFERENCES incidents (id) ON DELETE CASCADE,
  note_sealed BLOB NOT NULL,
  at INTEGER NOT NULL,
  by_person_id INTEGER REFERENCES people (id)
) STRICT;
CREATE INDEX incident_notes_of ON incident_notes (incident_id);

-- A waiver may be signed on the day by somebody who is in no sign-up: on paper, or on a leader's screen, which seen_by then names. The rows stay as they are to the last byte, and so do their hashes.
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
  CHECK ((sign_up_id IS NULL) = (member_id IS NULL)),
  CHECK (signed_as <> 'leader' OR (how = 'page' AND proof = 'signed in' AND sign_up_id IS NULL AND member_id IS NULL AND seen_by = '')),
  -- Typed on a page without a leader beside it: with a sign-up, or as a leader.
  CHECK (how <> 'page' OR seen_by <> '' OR signed_as = 'leader' OR sign_up_id IS NOT NULL),
  CHECK (how = 'page' OR seen_by <> ''),
  CHECK (how <> 'page' OR seen_by = '' OR sign_up_id IS NULL)
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

-- Closing a walk. How far each one on its roll walked, as it was settled when the walk was closed, or put right since: a row a person, made anew with each correction. The ledger of the roll
-- says who finished and who left; this says which way, and how many metres count. stop: of a short way or of who left early, the stop of the walk from 1; 0 before the first.
CREATE TABLE attendance (
  id INTEGER PRIMARY KEY,
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  member_id INTEGER UNIQUE REFERENCES party_members (id) ON DELETE CASCADE,
  turned_up_id INTEGER UNIQUE REFERENCES turned_up (id) ON DELETE CASCADE,
  outcome TEXT NOT NULL CHECK (outcome IN ('full', 'short', 'left', 'absent')),
  stop INTEGER NOT NULL DEFAULT 0 CHECK (stop >= 0),
  metres INTEGER NOT NULL CHECK (metres >= 0),
  CHECK ((member_id IS NULL) <> (turned_up_id IS NULL)),
  CHECK (outcome <> 'absent' OR metres = 0)
) STRICT;
CREATE INDEX attendance_walk ON attendance (walk_id);

-- What stands in the way on a route, as whoever led a walk there found it: shown to whoever leads it next, until somebody says that it is gone. It belongs to the route's file; where there is
-- none, to its name in its area. key: what the form named it by, so that posted twice is once. until_date: empty where it was not said.
CREATE TABLE hazards (
  id INTEGER PRIMARY KEY,
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  key TEXT NOT NULL,
  area_id INTEGER NOT NULL REFERENCES areas (id),
  route_key TEXT NOT NULL,
  -- Of the route's file; empty without one. Not the route's number: the same way brought by someone else is the same way.
  route_sha256 TEXT NOT NULL DEFAULT '',
  place TEXT NOT NULL,
  what TEXT NOT NULL,
  until_date TEXT NOT NULL DEFAULT '' CHECK (until_date = '' OR until_date GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
  noted_at INTEGER NOT NULL,
  noted_by INTEGER REFERENCES people (id),
  gone_at INTEGER,
  gone_by INTEGER REFERENCES people (id),
  UNIQUE (walk_id, key)
) STRICT;
CREATE INDEX hazards_named ON hazards (area_id, route_key) WHERE gone_at IS NULL;
CREATE INDEX hazards_file ON hazards (route_sha256) WHERE gone_at IS NULL AND route_sha256 <> '';
CREATE INDEX hazards_noted_by ON hazards (noted_by) WHERE noted_by IS NOT NULL;
