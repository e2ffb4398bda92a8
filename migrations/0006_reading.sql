-- Reading rounds: criteria, undo, corrections.

-- The answers to a round's criteria, a JSON list in their order; empty where there are none.
ALTER TABLE mark ADD COLUMN answers TEXT NOT NULL DEFAULT '';

-- A closing that was taken back: the record as it was then.
CREATE TABLE round_reopened (
  id        INTEGER PRIMARY KEY,
  round_id  INTEGER NOT NULL REFERENCES round(id),
  document  BLOB NOT NULL,
  reason    TEXT NOT NULL,
  at        INTEGER NOT NULL
) STRICT;
CREATE INDEX round_reopened_by_round ON round_reopened(round_id, id);

-- What was corrected after a round had been closed and the next one had begun.
CREATE TABLE round_correction (
  id        INTEGER PRIMARY KEY,
  round_id  INTEGER NOT NULL REFERENCES round(id),
  dish_id   INTEGER REFERENCES dish(id),      -- NULL where it is about the whole round
  move      TEXT NOT NULL CHECK (move IN ('', 'in', 'out')),
  reason    TEXT NOT NULL,
  at        INTEGER NOT NULL,
  leaf      INTEGER NOT NULL                  -- the ledger leaf that holds it
) STRICT;
CREATE INDEX round_correction_by_round ON round_correction(round_id, id);
