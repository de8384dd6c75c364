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
