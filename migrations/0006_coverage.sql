-- What an area wants of the season plan: walks a week of each kind of day, and how far from the plan's length they may be, as a share of it (empty: the group's).
ALTER TABLE areas ADD COLUMN weekday_walks INTEGER NOT NULL DEFAULT 1 CHECK (weekday_walks BETWEEN 0 AND 4);
ALTER TABLE areas ADD COLUMN saturday_walks INTEGER NOT NULL DEFAULT 1 CHECK (saturday_walks BETWEEN 0 AND 3);
ALTER TABLE areas ADD COLUMN sunday_walks INTEGER NOT NULL DEFAULT 1 CHECK (sunday_walks BETWEEN 0 AND 3);
ALTER TABLE areas ADD COLUMN length_tolerance REAL CHECK (length_tolerance BETWEEN 0 AND 1);

-- What coverage counts walks by: all that it reads of a walk is in the index.
CREATE INDEX walks_needs ON walks (area_id, wall_date, month, distance_metres) WHERE state IN ('posted', 'closed');
-- Walks to come by when they are, without a look at each row: a group with thousands posted ahead is asked on each visit which of them nobody leads.
CREATE INDEX walks_posted ON walks (gather_at) WHERE state = 'posted';

-- What a coordinator saw of the coverage board when they last marked it as seen: the gaps there were (their ids, see server/coverage), in months up to until_month. The next visit is told what changed since.
CREATE TABLE board_visits (
  person_id INTEGER PRIMARY KEY REFERENCES people (id),
  seen_at INTEGER NOT NULL,
  until_month TEXT NOT NULL CHECK (until_month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
  gaps TEXT NOT NULL CHECK (json_valid(gaps))
) STRICT;

-- One mail in which a coordinator asks a leader for walks that areas lack. Its private address answers for each of them: token_hash is that address's; created_at is part of what it is worked out from.
CREATE TABLE ask_letters (
  id INTEGER PRIMARY KEY,
  to_person_id INTEGER NOT NULL REFERENCES leaders (person_id),
  by_person_id INTEGER NOT NULL REFERENCES people (id),
  note TEXT NOT NULL,
  token_hash TEXT NOT NULL UNIQUE,
  created_at INTEGER NOT NULL
) STRICT;
CREATE INDEX ask_letters_to ON ask_letters (to_person_id);
CREATE INDEX ask_letters_by ON ask_letters (by_person_id);

-- One walk that a leader is asked for: a need of an area (its id, see server/coverage), of a week or, without one, of a month; the lengths that would count, where not any does; and the day it is suggested for.
-- Which walk came of it is not kept: matching walks to needs tells it anew.
CREATE TABLE asks (
  id INTEGER PRIMARY KEY,
  letter_id INTEGER NOT NULL REFERENCES ask_letters (id) ON DELETE CASCADE,
  to_person_id INTEGER NOT NULL REFERENCES leaders (person_id),
  area_id INTEGER NOT NULL REFERENCES areas (id),
  need TEXT NOT NULL,
  week TEXT NOT NULL CHECK (week = '' OR strftime('%w', week) = '1'),
  month TEXT NOT NULL CHECK (month GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]'),
  day_kind TEXT NOT NULL CHECK (day_kind IN ('weekday', 'saturday', 'sunday', 'any')),
  date TEXT NOT NULL CHECK (date GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  least_metres INTEGER CHECK (least_metres >= 0),
  best_metres INTEGER CHECK (best_metres > 0),
  most_metres INTEGER CHECK (most_metres > 0),
  state TEXT NOT NULL CHECK (state IN ('open', 'not this time', 'ended')),
  answered_at INTEGER,
  CHECK ((state = 'open') = (answered_at IS NULL)),
  CHECK ((day_kind = 'any') = (best_metres IS NULL))
) STRICT;
-- A leader is asked for one need once at a time.
CREATE UNIQUE INDEX asks_open ON asks (to_person_id, need) WHERE state = 'open';
CREATE INDEX asks_month ON asks (month);
CREATE INDEX asks_date ON asks (date);
CREATE INDEX asks_letter ON asks (letter_id);
CREATE INDEX asks_to ON asks (to_person_id);
CREATE INDEX asks_area ON asks (area_id);
