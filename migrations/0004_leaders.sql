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
