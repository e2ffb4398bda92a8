-- Who is served what, in which order, as it was planned when the tasting opened. Who joins later is fitted in from the seed.
CREATE TABLE serving (
  round_id  INTEGER PRIMARY KEY REFERENCES round(id),
  seed      BLOB NOT NULL CHECK (length(seed) = 32),
  plan      TEXT NOT NULL             -- JSON
) STRICT;

-- A judge who cooks at home, and for how many; 0 sits at the table.
ALTER TABLE participant ADD COLUMN home INTEGER NOT NULL DEFAULT 0;

-- What a judge at home cooked instead of being served.
CREATE TABLE home_plate (
  round_id   INTEGER NOT NULL REFERENCES round(id),
  judge_id   INTEGER NOT NULL REFERENCES participant(id),
  plate_id   INTEGER NOT NULL REFERENCES plate(id),
  cooked_on  TEXT NOT NULL,           -- a date, YYYY-MM-DD, in the challenge's zone
  changed    TEXT NOT NULL,           -- what was done in another way than it is written
  at         INTEGER NOT NULL,
  PRIMARY KEY (round_id, judge_id, plate_id)
) STRICT, WITHOUT ROWID;

-- What the host tasted: notes, never a score.
CREATE TABLE host_note (
  round_id  INTEGER NOT NULL REFERENCES round(id),
  plate_id  INTEGER NOT NULL REFERENCES plate(id),
  note      TEXT NOT NULL,
  public    INTEGER NOT NULL DEFAULT 0,
  at        INTEGER NOT NULL,
  PRIMARY KEY (round_id, plate_id)
) STRICT, WITHOUT ROWID;

-- Tastings that were put off because too few judges handed in.
CREATE TABLE postponement (
  id        INTEGER PRIMARY KEY,
  round_id  INTEGER NOT NULL REFERENCES round(id),
  until     TEXT NOT NULL,            -- a date, YYYY-MM-DD, in the challenge's zone
  reason    TEXT NOT NULL,
  judges    INTEGER NOT NULL,         -- who had handed in by then
  at        INTEGER NOT NULL
) STRICT;
CREATE INDEX postponement_by_round ON postponement(round_id, id);

-- Judges and dishes that are kept apart no longer.
ALTER TABLE conflict ADD COLUMN lifted_at INTEGER NOT NULL DEFAULT 0;
ALTER TABLE conflict ADD COLUMN lifted TEXT NOT NULL DEFAULT '';

-- What a judge says of whom he or she is connected with. It names people, so it is for the host alone, until the tasting closes.
CREATE TABLE connection (
  id           INTEGER PRIMARY KEY,
  judge_id     INTEGER NOT NULL REFERENCES participant(id),
  words        TEXT NOT NULL,
  at           INTEGER NOT NULL,
  answered_at  INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX connection_by_judge ON connection(judge_id);
