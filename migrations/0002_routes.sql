-- Routes read from leaders' files, stops on the way, what a leader said of the walk check, and the day's forecast.

-- A route never changes: a new file is a new row, the same file from the same person the row there is (sha256 is of gpx). line is a reduced line for drawing, no further than line_error_metres from the way walked;
-- profile, turns and waypoints as server/gpx/measured.ts has them; gpx is the whole way as clean GPX 1.1, gzipped, without anyone's times.
CREATE TABLE routes (
  id INTEGER PRIMARY KEY,
  by_person_id INTEGER NOT NULL REFERENCES people (id),
  created_at INTEGER NOT NULL,
  length_metres REAL NOT NULL CHECK (length_metres > 0),
  ascent_metres REAL CHECK (ascent_metres >= 0),
  descent_metres REAL CHECK (descent_metres >= 0),
  shape TEXT NOT NULL CHECK (shape IN ('loop', 'out and back', 'one way')),
  point_count INTEGER NOT NULL CHECK (point_count >= 2),
  line TEXT NOT NULL CHECK (json_valid(line)),
  line_error_metres REAL NOT NULL CHECK (line_error_metres >= 0),
  profile TEXT CHECK (json_valid(profile)),
  turns TEXT NOT NULL CHECK (json_valid(turns)),
  waypoints TEXT NOT NULL CHECK (json_valid(waypoints)),
  sha256 TEXT NOT NULL,
  gpx BLOB NOT NULL,
  CHECK ((ascent_metres IS NULL) = (descent_metres IS NULL)),
  CHECK ((ascent_metres IS NULL) = (profile IS NULL)),
  UNIQUE (by_person_id, sha256)
) STRICT;
CREATE INDEX routes_created ON routes (created_at);

-- effort_metres: the flat distance that takes as long as the route does by Tobler's function; null where its heights are not known.
ALTER TABLE walks ADD COLUMN route_id INTEGER REFERENCES routes (id);
ALTER TABLE walks ADD COLUMN effort_metres REAL CHECK (effort_metres > 0);
ALTER TABLE walks ADD COLUMN stops TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(stops));
-- When the leader last walked or drove the route, and why they go all the same where the walk check says "mend".
ALTER TABLE walks ADD COLUMN seen_on TEXT NOT NULL DEFAULT '' CHECK (seen_on = '' OR seen_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]');
ALTER TABLE walks ADD COLUMN explained TEXT NOT NULL DEFAULT '{}' CHECK (json_valid(explained));
CREATE INDEX walks_route ON walks (route_id) WHERE route_id IS NOT NULL;

-- Older versions of walks, and mail that tells of them, say the same in the new words.
UPDATE walk_changes
SET facts = json_set(facts, '$.routeId', NULL, '$.effortMetres', NULL, '$.stops', json('[]'), '$.seenOn', '', '$.explained', json('{}'));
UPDATE notices
SET content = json_set(content, '$.walk.facts.routeId', NULL, '$.walk.facts.effortMetres', NULL, '$.walk.facts.stops', json('[]'),
  '$.walk.facts.seenOn', '', '$.walk.facts.explained', json('{}'))
WHERE json_type(content, '$.walk.facts') = 'object';

-- The local forecast that a leader typed in for the day of a walk: one a walk, the latest. Of that date alone: a walk that moved has none.
CREATE TABLE forecasts (
  walk_id INTEGER PRIMARY KEY REFERENCES walks (id) ON DELETE CASCADE,
  wall_date TEXT NOT NULL CHECK (wall_date GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
  temperature_celsius REAL NOT NULL CHECK (temperature_celsius BETWEEN -60 AND 60),
  humidity REAL NOT NULL CHECK (humidity BETWEEN 0 AND 100),
  wind_metres_per_second REAL NOT NULL CHECK (wind_metres_per_second BETWEEN 0 AND 90),
  by_person_id INTEGER NOT NULL REFERENCES people (id),
  at INTEGER NOT NULL
) STRICT;
