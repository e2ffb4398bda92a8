-- A roster is the last of its row: what stands behind a text of megabytes is read through all of it.
CREATE TABLE closing_list_moved (
  challenge_id  INTEGER PRIMARY KEY REFERENCES challenge(id),
  fixed_at      INTEGER NOT NULL,
  leaf          INTEGER NOT NULL,          -- the ledger leaf that names its root
  roster        TEXT NOT NULL              -- JSON: numbers and commitments, nothing else
) STRICT;
INSERT INTO closing_list_moved (challenge_id, fixed_at, leaf, roster) SELECT challenge_id, fixed_at, leaf, roster FROM closing_list;
DROP TABLE closing_list;
ALTER TABLE closing_list_moved RENAME TO closing_list;

CREATE TABLE draw_moved (
  round_id   INTEGER PRIMARY KEY REFERENCES round(id),
  plan       TEXT NOT NULL,
  secret     TEXT NOT NULL DEFAULT '',     -- the server's own, where it is a party
  nonce      BLOB,
  leaf       INTEGER NOT NULL DEFAULT -1,  -- the ledger leaf that fixed the roster
  roster     TEXT                          -- NULL until it is frozen
) STRICT;
INSERT INTO draw_moved (round_id, plan, secret, nonce, leaf, roster) SELECT round_id, plan, secret, nonce, leaf, roster FROM draw;
DROP TABLE draw;
ALTER TABLE draw_moved RENAME TO draw;
