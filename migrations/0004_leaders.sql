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
