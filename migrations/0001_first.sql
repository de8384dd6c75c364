-- The first schema. Instants are integer milliseconds UTC in columns ending in _at;
-- wall_* columns hold what the leader meant, in the walk's own zone.

CREATE TABLE settings (
  key TEXT PRIMARY KEY NOT NULL,
  value TEXT NOT NULL CHECK (json_valid(value))
) STRICT, WITHOUT ROWID;

CREATE TABLE people (
  id INTEGER PRIMARY KEY,
  name TEXT NOT NULL,
  email TEXT NOT NULL UNIQUE,
  phone TEXT,
  coordinator INTEGER NOT NULL DEFAULT 0 CHECK (coordinator IN (0, 1)),
  created_at INTEGER NOT NULL,
  disabled_at INTEGER
) STRICT;

CREATE TABLE sessions (
  token_hash TEXT PRIMARY KEY NOT NULL,
  person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
  created_at INTEGER NOT NULL,
  seen_at INTEGER NOT NULL,
  expires_at INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX sessions_person ON sessions (person_id);
CREATE INDEX sessions_expiry ON sessions (expires_at);

-- browser_hash is the cookie of the browser that asked; null for links the operator prints.
CREATE TABLE sign_in_links (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  email TEXT NOT NULL,
  token_hash TEXT NOT NULL UNIQUE,
  code_hash TEXT NOT NULL,
  browser_hash TEXT,
  next TEXT,
  wrong_codes INTEGER NOT NULL DEFAULT 0,
  created_at INTEGER NOT NULL,
  expires_at INTEGER NOT NULL,
  used_at INTEGER
) STRICT;
CREATE INDEX sign_in_links_email ON sign_in_links (email, created_at);
CREATE INDEX sign_in_links_browser ON sign_in_links (browser_hash);
CREATE INDEX sign_in_links_expiry ON sign_in_links (expires_at);

CREATE TABLE areas (
  id INTEGER PRIMARY KEY,
  slug TEXT NOT NULL UNIQUE,
  name TEXT NOT NULL,
  lat REAL NOT NULL CHECK (lat BETWEEN -90 AND 90),
  lon REAL NOT NULL CHECK (lon BETWEEN -180 AND 180),
  radius_metres INTEGER NOT NULL CHECK (radius_metres > 0),
  zone TEXT NOT NULL,
  emergency_number TEXT NOT NULL,
  floor_walks INTEGER CHECK (floor_walks >= 0),
  created_at INTEGER NOT NULL
) STRICT;

CREATE TABLE leaders (
  person_id INTEGER PRIMARY KEY REFERENCES people (id),
  area_id INTEGER NOT NULL REFERENCES areas (id),
  state TEXT NOT NULL CHECK (state IN ('approved', 'stood_down')),
  since_month TEXT NOT NULL CHECK (since_month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
  created_at INTEGER NOT NULL
) STRICT;
CREATE INDEX leaders_area ON leaders (area_id, state);

-- What a leader promises from a month on; the row with the latest from_month not after a month speaks for it.
CREATE TABLE pledges (
  person_id INTEGER NOT NULL REFERENCES leaders (person_id) ON DELETE CASCADE,
  from_month TEXT NOT NULL CHECK (from_month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
  walks INTEGER NOT NULL CHECK (walks BETWEEN 1 AND 31),
  PRIMARY KEY (person_id, from_month)
) STRICT, WITHOUT ROWID;

CREATE TABLE excused_months (
  person_id INTEGER NOT NULL REFERENCES leaders (person_id) ON DELETE CASCADE,
  month TEXT NOT NULL CHECK (month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
  reason TEXT NOT NULL,
  PRIMARY KEY (person_id, month)
) STRICT, WITHOUT ROWID;

-- month is the month of the set-off in the walk's own zone: what commitment and coverage count by.
CREATE TABLE walks (
  id INTEGER PRIMARY KEY,
  uid TEXT NOT NULL UNIQUE,
  state TEXT NOT NULL CHECK (state IN ('draft', 'posted', 'cancelled', 'closed')),
  version INTEGER NOT NULL DEFAULT 1,
  sequence INTEGER NOT NULL DEFAULT 0,
  area_id INTEGER NOT NULL REFERENCES areas (id),
  route_name TEXT NOT NULL,
  locality TEXT NOT NULL,
  wall_date TEXT NOT NULL CHECK (wall_date GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
  wall_time TEXT NOT NULL CHECK (wall_time GLOB '[0-2][0-9]:[0-5][0-9]'),
  wall_set_off TEXT NOT NULL CHECK (wall_set_off GLOB '[0-2][0-9]:[0-5][0-9]'),
  zone TEXT NOT NULL,
  doubled_offset INTEGER,
  gather_at INTEGER NOT NULL,
  set_off_at INTEGER NOT NULL,
  month TEXT NOT NULL CHECK (month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
  meeting_point TEXT NOT NULL,
  landmark TEXT NOT NULL,
  lat REAL CHECK (lat BETWEEN -90 AND 90),
  lon REAL CHECK (lon BETWEEN -180 AND 180),
  distance_metres INTEGER NOT NULL CHECK (distance_metres > 0),
  ascent_metres REAL NOT NULL DEFAULT 0 CHECK (ascent_metres >= 0),
  surfaces TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(surfaces)),
  step_free INTEGER NOT NULL DEFAULT 0 CHECK (step_free IN (0, 1)),
  capacity INTEGER NOT NULL CHECK (capacity BETWEEN 1 AND 500),
  dogs INTEGER NOT NULL DEFAULT 0 CHECK (dogs IN (0, 1)),
  minors INTEGER NOT NULL DEFAULT 0 CHECK (minors IN (0, 1)),
  theme TEXT NOT NULL DEFAULT '',
  directions TEXT NOT NULL DEFAULT '',
  description TEXT NOT NULL DEFAULT '',
  bring TEXT NOT NULL DEFAULT '',
  moved TEXT NOT NULL DEFAULT '',
  previous_gather_at INTEGER,
  cancel_kind TEXT CHECK (cancel_kind IN ('safety', 'other')),
  cancel_reason TEXT,
  created_at INTEGER NOT NULL,
  updated_at INTEGER NOT NULL,
  posted_at INTEGER,
  cancelled_at INTEGER,
  closed_at INTEGER,
  CHECK (lat IS NULL = (lon IS NULL)),
  CHECK (set_off_at >= gather_at),
  CHECK ((state = 'cancelled') = (cancel_kind IS NOT NULL))
) STRICT;
CREATE INDEX walks_coming ON walks (gather_at) WHERE state IN ('posted', 'cancelled');
CREATE INDEX walks_area_coming ON walks (area_id, gather_at) WHERE state IN ('posted', 'cancelled');
CREATE INDEX walks_month ON walks (month, area_id, state);

-- Who is responsible: one leader always, co-leaders perhaps.
CREATE TABLE walk_leaders (
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  person_id INTEGER NOT NULL REFERENCES leaders (person_id),
  part TEXT NOT NULL CHECK (part IN ('leader', 'co-leader')),
  PRIMARY KEY (walk_id, person_id)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX walk_leaders_one ON walk_leaders (walk_id) WHERE part = 'leader';
CREATE INDEX walk_leaders_person ON walk_leaders (person_id, walk_id);

-- Each version of a walk, as it stood from then on: what a walker was last told can always be read back.
CREATE TABLE walk_changes (
  walk_id INTEGER NOT NULL REFERENCES walks (id) ON DELETE CASCADE,
  version INTEGER NOT NULL,
  kind TEXT NOT NULL CHECK (kind IN ('created', 'posted', 'edited', 'cancelled', 'zone')),
  by_person_id INTEGER REFERENCES people (id),
  facts TEXT NOT NULL CHECK (json_valid(facts)),
  at INTEGER NOT NULL,
  PRIMARY KEY (walk_id, version)
) STRICT, WITHOUT ROWID;

CREATE TABLE texts (
  id INTEGER PRIMARY KEY,
  kind TEXT NOT NULL CHECK (kind IN ('rules', 'waiver', 'agreement', 'briefing', 'cautions')),
  version INTEGER NOT NULL,
  body TEXT NOT NULL,
  sha256 TEXT NOT NULL,
  created_at INTEGER NOT NULL,
  UNIQUE (kind, version)
) STRICT;

-- told_version: the version of the walk this walker is known to have been told of.
-- AUTOINCREMENT: a number is never given out twice, since the private address is worked out from it.
CREATE TABLE sign_ups (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  walk_id INTEGER NOT NULL REFERENCES walks (id),
  token_hash TEXT NOT NULL UNIQUE,
  post_mark TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('confirmed', 'waiting', 'withdrawn')),
  name TEXT NOT NULL,
  email TEXT NOT NULL,
  phone TEXT NOT NULL,
  phone_typed TEXT NOT NULL,
  party_size INTEGER NOT NULL CHECK (party_size >= 1),
  rules_text_id INTEGER NOT NULL REFERENCES texts (id),
  rules_agreed_at INTEGER NOT NULL,
  told_version INTEGER,
  created_at INTEGER NOT NULL,
  withdrawn_at INTEGER
) STRICT;
CREATE INDEX sign_ups_walk ON sign_ups (walk_id, state, party_size);
CREATE UNIQUE INDEX sign_ups_once ON sign_ups (walk_id, email) WHERE state <> 'withdrawn';
CREATE INDEX sign_ups_mark ON sign_ups (walk_id, post_mark);
CREATE INDEX sign_ups_email ON sign_ups (email);

CREATE TABLE party_members (
  id INTEGER PRIMARY KEY,
  sign_up_id INTEGER NOT NULL REFERENCES sign_ups (id) ON DELETE CASCADE,
  name TEXT NOT NULL,
  minor INTEGER NOT NULL DEFAULT 0 CHECK (minor IN (0, 1)),
  guardian_id INTEGER REFERENCES party_members (id),
  removed_at INTEGER,
  CHECK (guardian_id IS NULL OR minor = 1)
) STRICT;
CREATE INDEX party_members_sign_up ON party_members (sign_up_id);
CREATE INDEX party_members_guardian ON party_members (guardian_id);

-- sealed holds name, relation, phone and note as one AES-256-GCM value bound to this table, column and row.
CREATE TABLE emergency_contacts (
  member_id INTEGER PRIMARY KEY REFERENCES party_members (id) ON DELETE CASCADE,
  sealed BLOB NOT NULL,
  created_at INTEGER NOT NULL
) STRICT;

CREATE TABLE waivers (
  id INTEGER PRIMARY KEY,
  text_id INTEGER NOT NULL REFERENCES texts (id),
  text_sha256 TEXT NOT NULL,
  sign_up_id INTEGER NOT NULL REFERENCES sign_ups (id),
  member_id INTEGER NOT NULL REFERENCES party_members (id),
  email TEXT NOT NULL,
  for_name TEXT NOT NULL,
  for_key TEXT NOT NULL,
  signed_as TEXT NOT NULL CHECK (signed_as IN ('self', 'guardian')),
  signature TEXT NOT NULL,
  signed_at INTEGER NOT NULL
) STRICT;
CREATE INDEX waivers_force ON waivers (email, for_key, text_id);
CREATE INDEX waivers_sign_up ON waivers (sign_up_id);
CREATE INDEX waivers_member ON waivers (member_id);

-- Mail owed. A row is here before anything is tried, and only the mail server's 250 makes it 'sent'.
-- unsure: an attempt ended without an answer, so the mail may have arrived.
CREATE TABLE notices (
  id INTEGER PRIMARY KEY,
  event TEXT NOT NULL UNIQUE,
  kind TEXT NOT NULL,
  state TEXT NOT NULL CHECK (state IN ('pending', 'sending', 'sent', 'failed', 'replaced', 'kept')),
  walk_id INTEGER REFERENCES walks (id),
  sign_up_id INTEGER REFERENCES sign_ups (id),
  version INTEGER,
  to_name TEXT NOT NULL,
  to_email TEXT NOT NULL,
  message_id TEXT NOT NULL UNIQUE,
  content TEXT NOT NULL CHECK (json_valid(content)),
  created_at INTEGER NOT NULL,
  due_at INTEGER NOT NULL,
  give_up_at INTEGER NOT NULL,
  attempts INTEGER NOT NULL DEFAULT 0,
  unsure INTEGER NOT NULL DEFAULT 0 CHECK (unsure IN (0, 1)),
  lease TEXT,
  lease_until INTEGER,
  last_error TEXT,
  ended_at INTEGER,
  CHECK ((state = 'sending') = (lease IS NOT NULL))
) STRICT;
CREATE INDEX notices_due ON notices (due_at) WHERE state = 'pending';
CREATE INDEX notices_leased ON notices (lease_until) WHERE state = 'sending';
CREATE INDEX notices_failed ON notices (ended_at) WHERE state = 'failed';
CREATE INDEX notices_open ON notices (sign_up_id) WHERE state IN ('pending', 'sending');
CREATE INDEX notices_walk ON notices (walk_id, id);
CREATE INDEX notices_sign_up ON notices (sign_up_id, id);

CREATE TABLE audit_log (
  id INTEGER PRIMARY KEY,
  at INTEGER NOT NULL,
  person_id INTEGER REFERENCES people (id),
  action TEXT NOT NULL,
  subject TEXT NOT NULL,
  detail TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(detail))
) STRICT;
CREATE INDEX audit_log_subject ON audit_log (subject, at);
