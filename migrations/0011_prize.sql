-- A prize, to whom it has been offered in turn, and where it is sent. The address is asked for once the prize is
-- accepted and deleted when it has been sent.
CREATE TABLE prize (
  challenge_id  INTEGER PRIMARY KEY REFERENCES challenge(id),
  what          TEXT NOT NULL,
  turn          TEXT NOT NULL CHECK (turn IN ('draw', 'final')),  -- whose order decides who is next
  days          INTEGER NOT NULL           -- to accept
) STRICT;

CREATE TABLE prize_offer (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES prize(challenge_id),
  dish_id       INTEGER NOT NULL UNIQUE REFERENCES entry(dish_id),
  message_id    INTEGER NOT NULL,          -- that tells of it; the time runs from its sending
  offered_at    INTEGER NOT NULL,
  due_at        INTEGER NOT NULL,
  answer        TEXT NOT NULL DEFAULT '' CHECK (answer IN ('', 'accepted', 'declined', 'lapsed')),
  answered_at   INTEGER NOT NULL DEFAULT 0,
  address       TEXT NOT NULL DEFAULT '',
  address_at    INTEGER NOT NULL DEFAULT 0,
  sent_at       INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX prize_offer_by_challenge ON prize_offer(challenge_id, id);
CREATE INDEX prize_offer_open ON prize_offer(due_at) WHERE answer = '';
CREATE INDEX prize_offer_address ON prize_offer(address_at) WHERE address <> '';
