-- A rehearsal is counted for ever: it stays when its round is removed from the plan. Numbers run through the challenge.
CREATE TABLE kept_rehearsal (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  round_id      INTEGER REFERENCES round(id),  -- NULL once its round was removed
  number        INTEGER NOT NULL,
  plan          TEXT NOT NULL,
  leaf          INTEGER NOT NULL,              -- the ledger leaf that fixed its list
  record        BLOB                           -- as it was when the rehearsal was finished
) STRICT;
INSERT INTO kept_rehearsal (id, challenge_id, round_id, number, plan, leaf, record)
  SELECT rehearsal.id, round.challenge_id, round_id, number, plan, leaf, record FROM rehearsal JOIN round ON round.id = round_id;

CREATE TABLE kept_rehearsal_event (
  rehearsal_id  INTEGER NOT NULL REFERENCES kept_rehearsal(id),
  seq           INTEGER NOT NULL,
  event         TEXT NOT NULL,
  leaf          INTEGER NOT NULL,
  PRIMARY KEY (rehearsal_id, seq)
) STRICT, WITHOUT ROWID;
INSERT INTO kept_rehearsal_event SELECT rehearsal_id, seq, event, leaf FROM rehearsal_event;

DROP TABLE rehearsal_event;
DROP TABLE rehearsal;
ALTER TABLE kept_rehearsal RENAME TO rehearsal;
ALTER TABLE kept_rehearsal_event RENAME TO rehearsal_event;
CREATE INDEX rehearsal_by_round ON rehearsal(round_id, number);
CREATE INDEX rehearsal_by_challenge ON rehearsal(challenge_id, number);

-- What each leaf is about, so that the lines that are sealed now are counted without reading them.
CREATE INDEX ledger_body_by_kind ON ledger_body(challenge_id, kind, round);
