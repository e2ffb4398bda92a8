-- Times are unix milliseconds, UTC. Booleans are 0 or 1. JSON is text written once.

CREATE TABLE site (
  id           INTEGER PRIMARY KEY CHECK (id = 1),
  name         TEXT NOT NULL DEFAULT '',
  public_url   TEXT NOT NULL DEFAULT '',
  language     TEXT NOT NULL DEFAULT 'en',
  set_up_at    INTEGER NOT NULL DEFAULT 0,
  ledger_key   BLOB NOT NULL,            -- Ed25519 seed that signs checkpoints
  erasure_key  BLOB NOT NULL             -- key of the tombstones that keep an erased person from being imported again
) STRICT;

-- Who people are: a person's names in one table, the address in another that few queries may reach.
CREATE TABLE person (
  id          INTEGER PRIMARY KEY,
  name        TEXT NOT NULL,
  spoken      TEXT NOT NULL DEFAULT '',
  created_at  INTEGER NOT NULL
) STRICT;

CREATE TABLE address (
  person_id   INTEGER PRIMARY KEY REFERENCES person(id) ON DELETE CASCADE,
  email       TEXT NOT NULL,
  email_key   TEXT NOT NULL
) STRICT;
CREATE INDEX address_by_key ON address(email_key);

CREATE TABLE address_look (
  id          INTEGER PRIMARY KEY,
  host_id     INTEGER NOT NULL,
  person_id   INTEGER NOT NULL,
  at          INTEGER NOT NULL
) STRICT;

CREATE TABLE host (
  id             INTEGER PRIMARY KEY,
  person_id      INTEGER NOT NULL REFERENCES person(id),
  email_key      TEXT NOT NULL UNIQUE,
  password_hash  TEXT NOT NULL,
  created_at     INTEGER NOT NULL
) STRICT;

CREATE TABLE session (
  token       TEXT PRIMARY KEY,          -- hash of the cookie's value
  data        BLOB NOT NULL,
  expires_at  INTEGER NOT NULL
) STRICT;
CREATE INDEX session_by_expiry ON session(expires_at);

-- A private link: what it is for, whom it is about, and only the hash of its secret.
CREATE TABLE link (
  id            INTEGER PRIMARY KEY,
  purpose       TEXT NOT NULL,           -- setup, entrant, cohost, reader, judge
  challenge_id  INTEGER NOT NULL DEFAULT 0,
  subject_id    INTEGER NOT NULL DEFAULT 0,
  token_hash    BLOB NOT NULL UNIQUE,
  created_at    INTEGER NOT NULL,
  expires_at    INTEGER NOT NULL DEFAULT 0,
  used_at       INTEGER NOT NULL DEFAULT 0,
  revoked_at    INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX link_by_subject ON link(purpose, subject_id);

CREATE TABLE challenge (
  id                  INTEGER PRIMARY KEY,
  slug                TEXT NOT NULL UNIQUE,
  title               TEXT NOT NULL,
  brief               TEXT NOT NULL,
  rules               TEXT NOT NULL,
  zone                TEXT NOT NULL,
  announced_at        INTEGER NOT NULL DEFAULT 0,
  opens_at            INTEGER NOT NULL,
  closes_at           INTEGER NOT NULL,
  closed_at           INTEGER NOT NULL DEFAULT 0,  -- when the ledger recorded the closing
  release_at          INTEGER NOT NULL,
  entries_per_person  INTEGER NOT NULL,
  photos              INTEGER NOT NULL,
  prize               INTEGER NOT NULL,
  kitchen             TEXT NOT NULL,
  criteria            TEXT NOT NULL,
  host_words          TEXT NOT NULL DEFAULT '',
  entries             INTEGER NOT NULL DEFAULT 0,  -- kept counter: submitted, not withdrawn
  last_number         INTEGER NOT NULL DEFAULT 0,
  settings_version    INTEGER NOT NULL DEFAULT 1,
  created_at          INTEGER NOT NULL
) STRICT;

-- What people are in a challenge besides entrants: co-hosts, readers, judges.
CREATE TABLE participant (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  role          TEXT NOT NULL CHECK (role IN ('cohost', 'reader', 'judge')),
  person_id     INTEGER NOT NULL REFERENCES person(id),
  created_at    INTEGER NOT NULL,
  removed_at    INTEGER NOT NULL DEFAULT 0,
  credit        TEXT NOT NULL DEFAULT '',   -- a judge's own choice: the name beside what may be quoted; none is "a judge"
  pictures      INTEGER NOT NULL DEFAULT 0  -- a judge who sees pictures only
) STRICT;
CREATE INDEX participant_by_challenge ON participant(challenge_id, role);

CREATE TABLE round (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  position      INTEGER NOT NULL,
  kind          TEXT NOT NULL CHECK (kind IN ('reading', 'pick', 'draw', 'cook', 'tasting', 'vote')),
  title         TEXT NOT NULL,
  state         TEXT NOT NULL DEFAULT 'planned' CHECK (state IN ('planned', 'open', 'closed')),
  params        TEXT NOT NULL,
  release_at    INTEGER NOT NULL DEFAULT 0,
  opened_at     INTEGER NOT NULL DEFAULT 0,
  closed_at     INTEGER NOT NULL DEFAULT 0,
  document      BLOB                      -- the whole record of a closed round, as it went into the ledger
) STRICT;
CREATE INDEX round_by_challenge ON round(challenge_id, position);

-- What goes into a round, and what came out of it.
CREATE TABLE round_in (
  round_id  INTEGER NOT NULL REFERENCES round(id),
  dish_id   INTEGER NOT NULL REFERENCES dish(id),
  place     INTEGER NOT NULL,
  PRIMARY KEY (round_id, dish_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE round_out (
  round_id  INTEGER NOT NULL REFERENCES round(id),
  dish_id   INTEGER NOT NULL REFERENCES dish(id),
  rank      INTEGER NOT NULL,
  through   INTEGER NOT NULL,
  note      TEXT NOT NULL DEFAULT '',
  PRIMARY KEY (round_id, dish_id)
) STRICT, WITHOUT ROWID;

-- A dish is a recipe of a challenge: an entry, or a house dish. Texts, breakdowns and corrections hang on it.
CREATE TABLE dish (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  kind          TEXT NOT NULL CHECK (kind IN ('entry', 'house')),
  title         TEXT NOT NULL,           -- masked, of the current version
  version       INTEGER NOT NULL,        -- the current one
  created_at    INTEGER NOT NULL
) STRICT;

CREATE TABLE dish_version (
  dish_id      INTEGER NOT NULL REFERENCES dish(id),
  version      INTEGER NOT NULL,
  text         TEXT NOT NULL,            -- as received, immutable
  masked       TEXT NOT NULL,
  masks        TEXT NOT NULL,            -- JSON: the byte ranges of text that masked replaces
  photo_id     INTEGER REFERENCES photo(id),
  received_at  INTEGER NOT NULL,
  salt         BLOB NOT NULL,
  content      BLOB NOT NULL,            -- commitment to the text under the salt
  leaf         INTEGER NOT NULL DEFAULT -1,  -- the ledger leaf that records it; -1 for a house dish
  PRIMARY KEY (dish_id, version)
) STRICT;

CREATE TABLE entry (
  dish_id       INTEGER PRIMARY KEY REFERENCES dish(id),
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  number        INTEGER NOT NULL,
  state         TEXT NOT NULL DEFAULT 'in' CHECK (state IN ('in', 'withdrawn', 'barred')),
  source        TEXT NOT NULL DEFAULT 'form',
  findings      INTEGER NOT NULL DEFAULT 0,
  ingredients   INTEGER NOT NULL DEFAULT 0,
  minutes       INTEGER NOT NULL DEFAULT 0,
  UNIQUE (challenge_id, number)
) STRICT;

-- Who sent an entry. Blind queries never join this table.
CREATE TABLE entrant (
  dish_id      INTEGER PRIMARY KEY REFERENCES entry(dish_id),
  person_id    INTEGER NOT NULL REFERENCES person(id),
  name         TEXT NOT NULL,            -- as typed with this entry: several people may share an address
  credit       TEXT NOT NULL DEFAULT '',
  spoken       TEXT NOT NULL DEFAULT '',
  origin       TEXT NOT NULL,
  origin_note  TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX entrant_by_person ON entrant(person_id);

-- Every answer ever given; the newest of a kind holds.
CREATE TABLE consent (
  id       INTEGER PRIMARY KEY,
  dish_id  INTEGER NOT NULL REFERENCES entry(dish_id),
  kind     TEXT NOT NULL,
  given    INTEGER NOT NULL,
  at       INTEGER NOT NULL
) STRICT;
CREATE INDEX consent_by_dish ON consent(dish_id, kind, id);

CREATE TABLE breakdown (
  dish_id     INTEGER NOT NULL,
  version     INTEGER NOT NULL,
  reader      INTEGER NOT NULL,          -- version of the code that read it
  reading     TEXT NOT NULL,
  derived_at  INTEGER NOT NULL,
  PRIMARY KEY (dish_id, version),
  FOREIGN KEY (dish_id, version) REFERENCES dish_version(dish_id, version)
) STRICT;

CREATE TABLE correction (
  id        INTEGER PRIMARY KEY,
  dish_id   INTEGER NOT NULL,
  version   INTEGER NOT NULL,
  at_start  INTEGER NOT NULL,
  at_end    INTEGER NOT NULL,
  was       TEXT NOT NULL,
  field     TEXT NOT NULL,
  value     TEXT NOT NULL,
  by_role   TEXT NOT NULL,
  at        INTEGER NOT NULL,
  FOREIGN KEY (dish_id, version) REFERENCES dish_version(dish_id, version)
) STRICT;
CREATE INDEX correction_by_dish ON correction(dish_id, version, id);

CREATE TABLE house_dish (
  dish_id        INTEGER PRIMARY KEY REFERENCES dish(id),
  challenge_id   INTEGER NOT NULL REFERENCES challenge(id),
  cook           TEXT NOT NULL,
  fixed_version  INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX house_dish_by_challenge ON house_dish(challenge_id);

CREATE TABLE photo (
  id       INTEGER PRIMARY KEY,
  sha256   BLOB NOT NULL UNIQUE,
  width    INTEGER NOT NULL,
  height   INTEGER NOT NULL,
  mime     TEXT NOT NULL,
  large    BLOB NOT NULL,
  thumb    BLOB NOT NULL
) STRICT;

-- Masked title and text by dish id, filled by a job after the acknowledgement.
CREATE VIRTUAL TABLE dish_search USING fts5(title, text, content = '', contentless_delete = 1, tokenize = 'unicode61 remove_diacritics 2');

CREATE TABLE job (
  id           INTEGER PRIMARY KEY,
  kind         TEXT NOT NULL,
  subject_id   INTEGER NOT NULL DEFAULT 0,
  state        TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'done', 'failed')),
  done         INTEGER NOT NULL DEFAULT 0,
  total        INTEGER NOT NULL DEFAULT 0,
  tries        INTEGER NOT NULL DEFAULT 0,
  note         TEXT NOT NULL DEFAULT '',
  created_at   INTEGER NOT NULL,
  finished_at  INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX job_waiting ON job(id) WHERE state = 'waiting';

-- Reading rounds. A reader of 0 is the host.
CREATE TABLE mark (
  round_id   INTEGER NOT NULL REFERENCES round(id),
  dish_id    INTEGER NOT NULL REFERENCES dish(id),
  reader_id  INTEGER NOT NULL,
  mark       TEXT NOT NULL CHECK (mark IN ('keep', 'maybe', 'out')),
  note       TEXT NOT NULL DEFAULT '',
  at         INTEGER NOT NULL,
  PRIMARY KEY (round_id, dish_id, reader_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX mark_by_reader ON mark(round_id, reader_id);

-- What a person chose by hand: the host at the cut of a reading, the picker at a pick. A draft until the round closes.
CREATE TABLE choice (
  round_id   INTEGER NOT NULL REFERENCES round(id),
  dish_id    INTEGER NOT NULL REFERENCES dish(id),
  chosen     INTEGER NOT NULL,
  reason     TEXT NOT NULL DEFAULT '',
  at         INTEGER NOT NULL,
  PRIMARY KEY (round_id, dish_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE pick_seal (
  round_id   INTEGER PRIMARY KEY REFERENCES round(id),
  by_id      INTEGER NOT NULL,
  sealed_at  INTEGER NOT NULL
) STRICT;

-- Draws: the frozen roster and plan, then what happened, event by event.
CREATE TABLE draw (
  round_id   INTEGER PRIMARY KEY REFERENCES round(id),
  plan       TEXT NOT NULL,
  roster     TEXT,                       -- NULL until it is frozen
  secret     TEXT NOT NULL DEFAULT '',   -- the server's own, where it is a party
  nonce      BLOB,
  leaf       INTEGER NOT NULL DEFAULT -1    -- the ledger leaf that fixed the roster
) STRICT;

CREATE TABLE draw_event (
  round_id  INTEGER NOT NULL REFERENCES round(id),
  seq       INTEGER NOT NULL,
  event     TEXT NOT NULL,
  leaf      INTEGER NOT NULL,
  PRIMARY KEY (round_id, seq)
) STRICT, WITHOUT ROWID;

-- What is scored: a dish, in a version, as one cook cooked it, in one kitchen, on one date.
CREATE TABLE plate (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  dish_id       INTEGER NOT NULL REFERENCES dish(id),
  version       INTEGER NOT NULL,
  cook          TEXT NOT NULL,
  kitchen       TEXT NOT NULL DEFAULT '',
  cooked_on     TEXT NOT NULL DEFAULT '',  -- a date, YYYY-MM-DD, in the challenge's zone
  notes         TEXT NOT NULL DEFAULT '',  -- the cook's own
  created_at    INTEGER NOT NULL
) STRICT;
CREATE INDEX plate_by_challenge ON plate(challenge_id);

CREATE TABLE tasting_plate (
  round_id   INTEGER NOT NULL REFERENCES round(id),
  plate_id   INTEGER NOT NULL REFERENCES plate(id),
  code       INTEGER NOT NULL,           -- the three-digit blind code
  withdrawn  INTEGER NOT NULL DEFAULT 0,
  PRIMARY KEY (round_id, plate_id),
  UNIQUE (round_id, code)
) STRICT, WITHOUT ROWID;

-- Sheets. A judge of 0 is the host.
CREATE TABLE sheet (
  id         INTEGER PRIMARY KEY,
  round_id   INTEGER NOT NULL REFERENCES round(id),
  plate_id   INTEGER NOT NULL REFERENCES plate(id),
  judge_id   INTEGER NOT NULL,
  answers    TEXT NOT NULL,              -- JSON of scores and comments by criterion
  revision   INTEGER NOT NULL,
  saved_at   INTEGER NOT NULL,
  sealed_at  INTEGER NOT NULL DEFAULT 0,
  UNIQUE (round_id, plate_id, judge_id)
) STRICT;

-- What a sealed sheet said before each amendment.
CREATE TABLE sheet_amended (
  round_id   INTEGER NOT NULL,
  plate_id   INTEGER NOT NULL,
  judge_id   INTEGER NOT NULL,
  revision   INTEGER NOT NULL,           -- the one that said so
  was        TEXT NOT NULL,
  reason     TEXT NOT NULL,
  at         INTEGER NOT NULL,
  PRIMARY KEY (round_id, plate_id, judge_id, revision)
) STRICT, WITHOUT ROWID;

-- Judges who must not be served a dish.
CREATE TABLE conflict (
  judge_id  INTEGER NOT NULL REFERENCES participant(id),
  dish_id   INTEGER NOT NULL REFERENCES dish(id),
  reason    TEXT NOT NULL,
  PRIMARY KEY (judge_id, dish_id)
) STRICT, WITHOUT ROWID;

-- Declared allergies and diets: health data, given with consent, for whoever serves; deleted when the tasting closes.
CREATE TABLE diet (
  judge_id   INTEGER PRIMARY KEY REFERENCES participant(id),
  allergens  TEXT NOT NULL,              -- JSON list
  words      TEXT NOT NULL,
  given_at   INTEGER NOT NULL
) STRICT;

-- Votes: that a browser or link was used, and the ballot, lie apart and without times. The links of a vote are
-- forgotten when it closes, with the addresses they were sent to.
CREATE TABLE voting_link (
  round_id    INTEGER NOT NULL REFERENCES round(id),
  person_id   INTEGER NOT NULL REFERENCES person(id) ON DELETE CASCADE,
  token_hash  BLOB NOT NULL UNIQUE,
  PRIMARY KEY (round_id, person_id)
) STRICT, WITHOUT ROWID;

CREATE TABLE voting_pass (
  round_id    INTEGER NOT NULL REFERENCES round(id),
  token_hash  BLOB NOT NULL,
  PRIMARY KEY (round_id, token_hash)
) STRICT, WITHOUT ROWID;

CREATE TABLE ballot (
  round_id  INTEGER NOT NULL REFERENCES round(id),
  key       BLOB NOT NULL,
  choices   TEXT NOT NULL,
  PRIMARY KEY (round_id, key)
) STRICT, WITHOUT ROWID;

-- The ledger of each challenge: commitments, tree nodes (RFC 9162), and erasable bodies.
CREATE TABLE ledger_leaf (
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  seq           INTEGER NOT NULL,
  content       BLOB NOT NULL CHECK (length(content) = 32),
  PRIMARY KEY (challenge_id, seq)
) STRICT, WITHOUT ROWID;

CREATE TABLE ledger_node (
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  idx           INTEGER NOT NULL,
  hash          BLOB NOT NULL CHECK (length(hash) = 32),
  PRIMARY KEY (challenge_id, idx)
) STRICT, WITHOUT ROWID;

CREATE TABLE ledger_body (
  challenge_id  INTEGER NOT NULL,
  seq           INTEGER NOT NULL,
  kind          TEXT NOT NULL,           -- of the event; with the round it decides who may see the body
  round         INTEGER NOT NULL,        -- position, 0 for what concerns the whole challenge
  salt          BLOB NOT NULL CHECK (length(salt) = 16),
  body          BLOB NOT NULL,
  PRIMARY KEY (challenge_id, seq),
  FOREIGN KEY (challenge_id, seq) REFERENCES ledger_leaf(challenge_id, seq)
) STRICT;

CREATE TABLE message (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL DEFAULT 0,
  person_id     INTEGER NOT NULL REFERENCES person(id),
  dish_id       INTEGER NOT NULL DEFAULT 0,  -- the entry it is about, 0 for none
  kind          TEXT NOT NULL,
  token         TEXT NOT NULL DEFAULT '',  -- the private link it brings; gone once it is sent
  state         TEXT NOT NULL DEFAULT 'waiting' CHECK (state IN ('waiting', 'sent', 'failed')),
  tries         INTEGER NOT NULL DEFAULT 0,
  next_at       INTEGER NOT NULL DEFAULT 0,  -- not tried again before this
  created_at    INTEGER NOT NULL,
  sent_at       INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX message_by_person ON message(person_id);
CREATE INDEX message_waiting ON message(id) WHERE state = 'waiting';

-- Reading rounds, who reads what: how the entries were dealt, and each reader's share in his or her own order. An
-- extra one is a reading that the host asked for on top. A reader of 0 is the host.
CREATE TABLE reading_plan (
  round_id  INTEGER PRIMARY KEY REFERENCES round(id),
  seed      BLOB NOT NULL CHECK (length(seed) = 32)
) STRICT;

CREATE TABLE reading_share (
  round_id   INTEGER NOT NULL REFERENCES round(id),
  reader_id  INTEGER NOT NULL,
  dish_id    INTEGER NOT NULL REFERENCES dish(id),
  place      INTEGER NOT NULL,
  extra      INTEGER NOT NULL DEFAULT 0,
  flagged    INTEGER NOT NULL DEFAULT 0,
  PRIMARY KEY (round_id, reader_id, dish_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX reading_share_by_dish ON reading_share(round_id, dish_id);

-- Entries that come back unmarked to a reader who reads alone, after the place of another; the second mark shows drift
-- and counts for nothing else.
CREATE TABLE reading_again (
  round_id   INTEGER NOT NULL REFERENCES round(id),
  reader_id  INTEGER NOT NULL,
  dish_id    INTEGER NOT NULL REFERENCES dish(id),
  after      INTEGER NOT NULL,
  mark       TEXT NOT NULL DEFAULT '' CHECK (mark IN ('', 'keep', 'maybe', 'out')),
  at         INTEGER NOT NULL DEFAULT 0,
  PRIMARY KEY (round_id, reader_id, dish_id)
) STRICT, WITHOUT ROWID;

-- What a reader must not read, as declared.
CREATE TABLE reading_conflict (
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  reader_id     INTEGER NOT NULL,
  dish_id       INTEGER NOT NULL REFERENCES dish(id),
  reason        TEXT NOT NULL,
  at            INTEGER NOT NULL,
  PRIMARY KEY (challenge_id, reader_id, dish_id)
) STRICT, WITHOUT ROWID;

-- A service: how the dishes of a cooking round come to the table at one time.
CREATE TABLE service (
  round_id   INTEGER PRIMARY KEY REFERENCES round(id),
  revision   INTEGER NOT NULL,
  decided    TEXT NOT NULL,              -- JSON of what the host decided and corrected
  sheet      TEXT NOT NULL,              -- JSON of the run sheet that is followed
  planned    TEXT NOT NULL DEFAULT '',   -- the run sheet as it stood when cooking began
  says       TEXT NOT NULL DEFAULT '',   -- what the newest plan moved
  run        INTEGER NOT NULL DEFAULT 1, -- which cooking: a rehearsal comes before
  planned_at INTEGER NOT NULL
) STRICT;

-- The cook's log, one row for each button; the newest of a task counts.
CREATE TABLE service_log (
  round_id  INTEGER NOT NULL REFERENCES round(id),
  run       INTEGER NOT NULL,
  seq       INTEGER NOT NULL,
  entry     TEXT NOT NULL,
  at        INTEGER NOT NULL,
  PRIMARY KEY (round_id, run, seq)
) STRICT, WITHOUT ROWID;

-- Lists, erasures and rehearsals of draws.

-- Addresses of people whose data were erased, under the site's erasure key: an import must not bring them back.
CREATE TABLE tombstone (
  mac  BLOB PRIMARY KEY CHECK (length(mac) = 32),
  at   INTEGER NOT NULL
) STRICT, WITHOUT ROWID;

-- The list of all entries as it stood when entries closed.
CREATE TABLE closing_list (
  challenge_id  INTEGER PRIMARY KEY REFERENCES challenge(id),
  roster        TEXT NOT NULL,           -- JSON: numbers and commitments, nothing else
  fixed_at      INTEGER NOT NULL,
  leaf          INTEGER NOT NULL         -- the ledger leaf that names its root
) STRICT;

-- Entries with more than one ticket in a draw, set before its list is fixed; the newest of an entry counts.
CREATE TABLE tickets (
  id        INTEGER PRIMARY KEY,
  round_id  INTEGER NOT NULL REFERENCES round(id),
  dish_id   INTEGER NOT NULL REFERENCES dish(id),
  tickets   INTEGER NOT NULL,
  reason    TEXT NOT NULL,
  at        INTEGER NOT NULL
) STRICT;
CREATE INDEX tickets_by_round ON tickets(round_id, dish_id, id);

-- Entries that are not on the list of a draw because another of the same person stands there.
CREATE TABLE stood_back (
  round_id  INTEGER NOT NULL REFERENCES round(id),
  dish_id   INTEGER NOT NULL REFERENCES dish(id),
  PRIMARY KEY (round_id, dish_id)
) STRICT, WITHOUT ROWID;

-- Rehearsals of a draw, on made-up lists, and what happened in them.
CREATE TABLE rehearsal (
  id        INTEGER PRIMARY KEY,
  round_id  INTEGER NOT NULL REFERENCES round(id),
  number    INTEGER NOT NULL,            -- counted from 1 in its round
  plan      TEXT NOT NULL,
  leaf      INTEGER NOT NULL,            -- the ledger leaf that fixed its list
  record    BLOB,                        -- as it was when the rehearsal was finished
  UNIQUE (round_id, number)
) STRICT;

CREATE TABLE rehearsal_event (
  rehearsal_id  INTEGER NOT NULL REFERENCES rehearsal(id),
  seq           INTEGER NOT NULL,
  event         TEXT NOT NULL,
  leaf          INTEGER NOT NULL,
  PRIMARY KEY (rehearsal_id, seq)
) STRICT, WITHOUT ROWID;

-- Imports: what came out of a file, kept until the host has chosen. Nothing here is an entry yet.
CREATE TABLE import (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  name          TEXT NOT NULL,           -- of the file
  state         TEXT NOT NULL DEFAULT 'reading' CHECK (state IN ('reading', 'ready', 'creating')),
  created_at    INTEGER NOT NULL
) STRICT;
CREATE INDEX import_by_challenge ON import(challenge_id, id);

CREATE TABLE import_item (
  id          INTEGER PRIMARY KEY,
  import_id   INTEGER NOT NULL REFERENCES import(id) ON DELETE CASCADE,
  seq         INTEGER NOT NULL,
  state       TEXT NOT NULL DEFAULT 'found' CHECK (state IN ('found', 'chosen', 'made', 'failed')),
  key         BLOB NOT NULL,             -- keyed hash of the message id, or of the content
  verdict     TEXT NOT NULL,
  reasons     TEXT NOT NULL,             -- JSON
  copies      TEXT NOT NULL DEFAULT '[]',
  place       TEXT NOT NULL,             -- file, and place in it
  format      TEXT NOT NULL,
  title       TEXT NOT NULL,
  text        TEXT NOT NULL,             -- empty once the entry is made
  name        TEXT NOT NULL,
  email       TEXT NOT NULL,
  email_key   TEXT NOT NULL,
  sent_at     INTEGER NOT NULL DEFAULT 0,
  photo       BLOB,                      -- as it came; gone once the entry is made
  dish_id     INTEGER REFERENCES dish(id) ON DELETE SET NULL,
  UNIQUE (import_id, seq)
) STRICT;
CREATE INDEX import_item_chosen ON import_item(id) WHERE state = 'chosen';
CREATE INDEX import_item_by_dish ON import_item(dish_id);
CREATE INDEX import_item_by_address ON import_item(email_key);

-- What was brought in, by keyed hash, so that it never is again. A dish of NULL was erased: then it holds for every challenge.
CREATE TABLE imported (
  key           BLOB NOT NULL,
  challenge_id  INTEGER NOT NULL,
  dish_id       INTEGER REFERENCES dish(id) ON DELETE SET NULL,
  at            INTEGER NOT NULL,
  PRIMARY KEY (key, challenge_id)
) STRICT;
CREATE INDEX imported_by_dish ON imported(dish_id);

-- The pick: until when, and who picks in the co-host's place from then on. A participant of 0 is nobody.
CREATE TABLE pick_plan (
  round_id     INTEGER PRIMARY KEY REFERENCES round(id),
  due_at       INTEGER NOT NULL DEFAULT 0,
  stand_in     INTEGER NOT NULL DEFAULT 0,
  reminded_at  INTEGER NOT NULL DEFAULT 0,
  called_at    INTEGER NOT NULL DEFAULT 0   -- when the stand-in was told
) STRICT;

-- Why an entry takes no part, and what its author reads. lifted_at says that it was taken back in.
CREATE TABLE bar (
  id         INTEGER PRIMARY KEY,
  dish_id    INTEGER NOT NULL REFERENCES entry(dish_id),
  cause      TEXT NOT NULL CHECK (cause IN ('safety', 'not-eligible', 'copied', 'consent', 'duplicate')),
  reason     TEXT NOT NULL,              -- the host's own, for the record
  words      TEXT NOT NULL,              -- what the entrant reads
  at         INTEGER NOT NULL,
  lifted_at  INTEGER NOT NULL DEFAULT 0,
  lifted     TEXT NOT NULL DEFAULT ''    -- why it was taken back in
) STRICT;
CREATE INDEX bar_by_dish ON bar(dish_id, id);

-- Near-duplicates: a signature of each entry, its band keys for the look-up, and the pairs that were found.
CREATE TABLE likeness (
  dish_id    INTEGER PRIMARY KEY REFERENCES entry(dish_id),
  signature  BLOB NOT NULL
) STRICT;

CREATE TABLE likeness_band (
  challenge_id  INTEGER NOT NULL,
  key           INTEGER NOT NULL,
  dish_id       INTEGER NOT NULL,
  PRIMARY KEY (challenge_id, key, dish_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX likeness_band_by_dish ON likeness_band(dish_id);

CREATE TABLE alike (
  first_id    INTEGER NOT NULL REFERENCES entry(dish_id),
  second_id   INTEGER NOT NULL REFERENCES entry(dish_id),
  likeness    REAL NOT NULL,             -- 0 to 1, estimated
  decision    TEXT NOT NULL DEFAULT '' CHECK (decision IN ('', 'both-stay', 'barred')),
  reason      TEXT NOT NULL DEFAULT '',
  decided_at  INTEGER NOT NULL DEFAULT 0,
  PRIMARY KEY (first_id, second_id)
) STRICT, WITHOUT ROWID;
CREATE INDEX alike_by_second ON alike(second_id);

-- Questions to the author of an entry, asked without knowing who that is. masked is the answer for blind pages.
CREATE TABLE question (
  id           INTEGER PRIMARY KEY,
  dish_id      INTEGER NOT NULL REFERENCES entry(dish_id),
  text         TEXT NOT NULL,
  asked_at     INTEGER NOT NULL,
  answer       TEXT NOT NULL DEFAULT '',
  masked       TEXT NOT NULL DEFAULT '',
  answered_at  INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX question_by_dish ON question(dish_id, id);

-- The page of an entry that was cooked: whether the cook's notes stand on it, when its entrant was shown it before the
-- release, and the one answer the entrant may give.
CREATE TABLE cooked_page (
  dish_id      INTEGER PRIMARY KEY REFERENCES dish(id),
  notes        INTEGER NOT NULL DEFAULT 0,
  shown_at     INTEGER NOT NULL DEFAULT 0,
  answer       TEXT NOT NULL DEFAULT '',
  answered_at  INTEGER NOT NULL DEFAULT 0
) STRICT;
