-- Paragraphs that a leader keeps, to put into the walks they post ("Parking at the weir car park"). goes_into is the field of the walk form that takes it.
CREATE TABLE standing_notes (
  id INTEGER PRIMARY KEY,
  person_id INTEGER NOT NULL REFERENCES people (id),
  title TEXT NOT NULL CHECK (title <> ''),
  body TEXT NOT NULL CHECK (body <> ''),
  goes_into TEXT NOT NULL CHECK (goes_into IN ('description', 'bring', 'directions')),
  created_at INTEGER NOT NULL
) STRICT;
CREATE INDEX standing_notes_person ON standing_notes (person_id, title);

-- Walks that were made from one another, on several dates: walks.series_id names it, the first one's too.
CREATE TABLE series (
  id INTEGER PRIMARY KEY,
  by_person_id INTEGER NOT NULL REFERENCES people (id),
  created_at INTEGER NOT NULL
) STRICT;
ALTER TABLE walks ADD COLUMN series_id INTEGER REFERENCES series (id);
CREATE INDEX walks_series ON walks (series_id, gather_at) WHERE series_id IS NOT NULL;

-- What one edit of several walks owes one address goes as one mail: its rows share lot (and to_email). Null: the row is a mail of its own.
ALTER TABLE notices ADD COLUMN lot TEXT;
CREATE INDEX notices_lot ON notices (lot) WHERE lot IS NOT NULL;
