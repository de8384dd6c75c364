-- Handbook pages that a person marked as read. Pages are files of the program, known by the name in their address.
CREATE TABLE handbook_reads (
  person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
  page TEXT NOT NULL,
  at INTEGER NOT NULL,
  PRIMARY KEY (person_id, page)
) STRICT, WITHOUT ROWID;
CREATE INDEX handbook_reads_at ON handbook_reads (at);

-- Questions of the leaders' quiz. An edit is a new row that retires the one it replaces, so that past attempts keep what was asked; two edits of one row are impossible.
-- page: of the handbook. right_answer: counted from 0. created_at, by_person_id: NULL for those that came with the program.
CREATE TABLE quiz_questions (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  page TEXT NOT NULL,
  question TEXT NOT NULL CHECK (question <> ''),
  answers TEXT NOT NULL CHECK (json_valid(answers) AND json_type(answers) = 'array' AND json_array_length(answers) BETWEEN 2 AND 5),
  right_answer INTEGER NOT NULL CHECK (right_answer >= 0 AND right_answer < json_array_length(answers)),
  explanation TEXT NOT NULL,
  replaces_id INTEGER REFERENCES quiz_questions (id),
  created_at INTEGER,
  by_person_id INTEGER REFERENCES people (id),
  retired_at INTEGER,
  retired_by_person_id INTEGER REFERENCES people (id)
) STRICT;
CREATE UNIQUE INDEX quiz_questions_replaces ON quiz_questions (replaces_id) WHERE replaces_id IS NOT NULL;
CREATE INDEX quiz_questions_in_use ON quiz_questions (page, id) WHERE retired_at IS NULL;
CREATE INDEX quiz_questions_retired ON quiz_questions (retired_at) WHERE retired_at IS NOT NULL;

-- One try at the quiz, with the pass mark of its day; one open at a time.
CREATE TABLE quiz_attempts (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
  started_at INTEGER NOT NULL,
  pass_percent INTEGER NOT NULL CHECK (pass_percent BETWEEN 1 AND 100),
  ended_at INTEGER,
  right_count INTEGER CHECK ((right_count IS NULL) = (ended_at IS NULL)),
  passed INTEGER CHECK ((passed IS NULL) = (ended_at IS NULL) AND passed IN (0, 1))
) STRICT;
CREATE UNIQUE INDEX quiz_attempts_open ON quiz_attempts (person_id) WHERE ended_at IS NULL;
CREATE INDEX quiz_attempts_person ON quiz_attempts (person_id, id);
CREATE INDEX quiz_attempts_started ON quiz_attempts (started_at);

-- What an attempt asks, in its order. answer_order: the question's answers in the order drawn. chosen: the answer given, counted as in the question; NULL until the attempt ends.
CREATE TABLE quiz_attempt_questions (
  attempt_id INTEGER NOT NULL REFERENCES quiz_attempts (id) ON DELETE CASCADE,
  place INTEGER NOT NULL,
  question_id INTEGER NOT NULL REFERENCES quiz_questions (id),
  answer_order TEXT NOT NULL CHECK (json_valid(answer_order)),
  chosen INTEGER,
  PRIMARY KEY (attempt_id, place)
) STRICT, WITHOUT ROWID;
CREATE UNIQUE INDEX quiz_attempt_questions_question ON quiz_attempt_questions (question_id, attempt_id);
