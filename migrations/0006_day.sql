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
