-- Weeks of the season plan as someone set them. The plan itself is worked out from the settings; only what differs from it is kept, under the first day of the event that it was
-- set for and the Monday that the week begins on, so that another event, or a longer season, takes no week for another. weekday_metres: one length a weekday walk; empty lengths: no walk.
CREATE TABLE plan_weeks (
  event_day TEXT NOT NULL CHECK (event_day GLOB '[0-9][0-9][0-9][0-9]-[0-9][0-9]-[0-9][0-9]'),
  week_from TEXT NOT NULL CHECK (strftime('%w', week_from) = '1'),
  weekday_metres TEXT NOT NULL CHECK (json_valid(weekday_metres) AND json_type(weekday_metres) = 'array' AND json_array_length(weekday_metres) <= 4),
  saturday_metres INTEGER CHECK (saturday_metres > 0),
  sunday_metres INTEGER CHECK (sunday_metres > 0),
  changed_at INTEGER NOT NULL,
  changed_by INTEGER REFERENCES people (id),
  PRIMARY KEY (event_day, week_from)
) STRICT, WITHOUT ROWID;
