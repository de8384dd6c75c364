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
-- Whoever turned up finds their miles by their address.
CREATE INDEX turned_up_email ON turned_up (email) WHERE email <> '';

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
