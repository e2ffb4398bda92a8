-- What food costs where the host shops, one food a line; and what entrants are told in the host's own words.
CREATE TABLE price_list (
  id          INTEGER PRIMARY KEY CHECK (id = 1),
  currency    TEXT NOT NULL,
  prices      TEXT NOT NULL,
  changed_at  INTEGER NOT NULL
) STRICT;

CREATE TABLE told (
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  about         TEXT NOT NULL,        -- a cause, or late or withdrawn
  words         TEXT NOT NULL,
  PRIMARY KEY (challenge_id, about)
) STRICT, WITHOUT ROWID;
