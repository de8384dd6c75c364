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
