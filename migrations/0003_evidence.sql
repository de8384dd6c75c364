-- Waivers as evidence, minors and absent adults in parties, contacts kept for next time, and who was erased.

-- Every signature is a row that is never changed and never deleted: three triggers see to it. hash chains it to the row before (previous); document_sha256 is of the very text that was signed, as
-- server/waivers/document.ts writes it in this format. address_mark is a keyed digest of email, which alone goes when a person is erased. Rows with an empty hash are older than the chain: the
-- next start writes theirs (server/waivers/chain-old.ts).
-- how: page (typed on a page), paper (on the day, seen by a leader), file (on file elsewhere, brought in as a list).
-- proof: what showed at the signing that the address is the signer's: a link mailed to it was followed, or they were signed in with it.
CREATE TABLE waivers_new (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  how TEXT NOT NULL CHECK (how IN ('page', 'paper', 'file')),
  text_id INTEGER NOT NULL REFERENCES texts (id),
  text_sha256 TEXT NOT NULL,
  sign_up_id INTEGER REFERENCES sign_ups (id),
  member_id INTEGER REFERENCES party_members (id),
  email TEXT NOT NULL,
  address_mark TEXT NOT NULL,
  for_name TEXT NOT NULL,
  for_key TEXT NOT NULL,
  signed_as TEXT NOT NULL CHECK (signed_as IN ('self', 'guardian')),
  signer_name TEXT NOT NULL,
  signer_key TEXT NOT NULL,
  signature TEXT NOT NULL,
  intent TEXT NOT NULL,
  consent TEXT NOT NULL,
  proof TEXT NOT NULL CHECK (proof IN ('none', 'link', 'signed in')),
  seen_by TEXT NOT NULL,
  signed_at INTEGER NOT NULL,
  kept_at INTEGER NOT NULL,
  format INTEGER NOT NULL,
  document_sha256 TEXT NOT NULL,
  previous TEXT NOT NULL,
  hash TEXT NOT NULL,
  CHECK (how = 'file' OR (sign_up_id IS NOT NULL AND member_id IS NOT NULL)),
  CHECK ((how = 'page') = (seen_by = ''))
) STRICT;
INSERT INTO waivers_new
SELECT id, 'page', text_id, text_sha256, sign_up_id, member_id, email, '', for_name, for_key, signed_as, for_name, for_key, signature,
  'Each of us has read the waiver and signs it by typing our name above.', '', 'none', '', signed_at, signed_at, 1, '', '', ''
FROM waivers ORDER BY id;
DROP TABLE waivers;
ALTER TABLE waivers_new RENAME TO waivers;
CREATE INDEX waivers_force ON waivers (email, text_id);
CREATE INDEX waivers_count ON waivers (text_id, how, signed_at) WHERE email <> '';
CREATE INDEX waivers_mark ON waivers (address_mark);
CREATE INDEX waivers_sign_up ON waivers (sign_up_id);
CREATE INDEX waivers_member ON waivers (member_id);
CREATE TRIGGER waivers_stay BEFORE DELETE ON waivers BEGIN
  SELECT RAISE(ABORT, 'a signature is never deleted');
END;
-- INSERT OR REPLACE would pass by the two others.
CREATE TRIGGER waivers_added BEFORE INSERT ON waivers WHEN EXISTS (SELECT 1 FROM waivers WHERE id = NEW.id) BEGIN
  SELECT RAISE(ABORT, 'a signature is never changed: only its address can be erased');
END;
CREATE TRIGGER waivers_fixed BEFORE UPDATE ON waivers
WHEN OLD.hash <> '' AND NOT (NEW.email = '' AND NEW.id = OLD.id AND NEW.how = OLD.how AND NEW.text_id = OLD.text_id
  AND NEW.text_sha256 = OLD.text_sha256 AND NEW.sign_up_id IS OLD.sign_up_id AND NEW.member_id IS OLD.member_id
  AND NEW.address_mark = OLD.address_mark AND NEW.for_name = OLD.for_name AND NEW.for_key = OLD.for_key AND NEW.signed_as = OLD.signed_as
  AND NEW.signer_name = OLD.signer_name AND NEW.signer_key = OLD.signer_key AND NEW.signature = OLD.signature AND NEW.intent = OLD.intent
  AND NEW.consent = OLD.consent AND NEW.proof = OLD.proof AND NEW.seen_by = OLD.seen_by AND NEW.signed_at = OLD.signed_at
  AND NEW.kept_at = OLD.kept_at AND NEW.format = OLD.format AND NEW.document_sha256 = OLD.document_sha256
  AND NEW.previous = OLD.previous AND NEW.hash = OLD.hash)
BEGIN
  SELECT RAISE(ABORT, 'a signature is never changed: only its address can be erased');
END;

-- Where the chain ends: how many signatures there are and the last one's hash, under a keyed mark, so that taking rows off the end shows.
CREATE TABLE waiver_head (
  id INTEGER PRIMARY KEY CHECK (id = 1),
  waivers INTEGER NOT NULL CHECK (waivers >= 0),
  hash TEXT NOT NULL,
  mark TEXT NOT NULL
) STRICT;

-- From where a signature was typed; kept for a short time only.
CREATE TABLE waiver_traces (
  waiver_id INTEGER PRIMARY KEY REFERENCES waivers (id),
  address TEXT NOT NULL,
  agent TEXT NOT NULL,
  at INTEGER NOT NULL
) STRICT;
CREATE INDEX waiver_traces_at ON waiver_traces (at);

-- email, sign_token_hash: an adult who was not there when the party was booked reads and signs by a link of their own. adult_on: the day a minor turns 18, where that is near; empty where it was
-- not said. photos: whether pictures that show them may be used. rules_agreed_at, rules_text_id: when an absent adult agreed to which rules.
ALTER TABLE party_members ADD COLUMN adult_on TEXT NOT NULL DEFAULT ''
  CHECK (adult_on = '' OR (minor = 1 AND adult_on GLOB '[0-9][0-9][0-9][0-9]-[0-1][0-9]-[0-3][0-9]'));
ALTER TABLE party_members ADD COLUMN email TEXT CHECK (email IS NULL OR minor = 0);
ALTER TABLE party_members ADD COLUMN sign_token_hash TEXT CHECK (sign_token_hash IS NULL OR email IS NOT NULL);
ALTER TABLE party_members ADD COLUMN photos INTEGER NOT NULL DEFAULT 0 CHECK (photos IN (0, 1));
ALTER TABLE party_members ADD COLUMN rules_agreed_at INTEGER;
ALTER TABLE party_members ADD COLUMN rules_text_id INTEGER REFERENCES texts (id) CHECK ((rules_text_id IS NULL) = (rules_agreed_at IS NULL));
CREATE UNIQUE INDEX party_members_sign ON party_members (sign_token_hash) WHERE sign_token_hash IS NOT NULL;
CREATE INDEX party_members_email ON party_members (email) WHERE email IS NOT NULL;

-- When the booker first acted on a link that was mailed to their address.
ALTER TABLE sign_ups ADD COLUMN proved_at INTEGER;

-- Emergency contacts that someone signed in wants kept for their next sign-up; sealed like those of a walk.
CREATE TABLE kept_contacts (
  id INTEGER PRIMARY KEY AUTOINCREMENT,
  person_id INTEGER NOT NULL REFERENCES people (id) ON DELETE CASCADE,
  for_name TEXT NOT NULL,
  for_key TEXT NOT NULL,
  sealed BLOB NOT NULL,
  kept_at INTEGER NOT NULL,
  expires_at INTEGER NOT NULL,
  UNIQUE (person_id, for_key)
) STRICT;
CREATE INDEX kept_contacts_expiry ON kept_contacts (expires_at);

-- Addresses whose holders were erased, as keyed digests, so that a restored backup forgets them again. proof is a keyed mark of the row: nobody without the key can make a signature look erased.
CREATE TABLE erased (
  mark TEXT PRIMARY KEY NOT NULL,
  at INTEGER NOT NULL,
  proof TEXT NOT NULL
) STRICT, WITHOUT ROWID;

ALTER TABLE texts ADD COLUMN by_person_id INTEGER REFERENCES people (id);

CREATE INDEX people_coordinators ON people (id) WHERE coordinator = 1;
CREATE INDEX audit_log_person ON audit_log (person_id, at);
CREATE INDEX audit_log_at ON audit_log (at);
CREATE INDEX notices_created ON notices (created_at);
CREATE INDEX notices_to ON notices (to_email);

-- Mail that is kept says who signed for whom.
UPDATE notices
SET content = json_set(content, '$.walk.waivers', (
  SELECT json_group_array(json_set(value, '$.signerName', json_extract(value, '$.forName'), '$.signedAs', 'self'))
  FROM json_each(content, '$.walk.waivers')))
WHERE json_type(content, '$.walk.waivers') = 'array';
