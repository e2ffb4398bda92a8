-- How a host words the messages of a challenge, where not as usual.
CREATE TABLE letter (
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  kind          TEXT NOT NULL,
  subject       TEXT NOT NULL,           -- with placeholders
  body          TEXT NOT NULL,
  PRIMARY KEY (challenge_id, kind)
) STRICT, WITHOUT ROWID;

-- What many people are told at once. The host releases it; the messages are made when its outcome is public.
CREATE TABLE mailing (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  round_id      INTEGER NOT NULL REFERENCES round(id),
  kind          TEXT NOT NULL,
  released_at   INTEGER NOT NULL,
  made_at       INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX mailing_by_challenge ON mailing(challenge_id, round_id, kind);
CREATE INDEX mailing_by_round ON mailing(round_id);
CREATE INDEX mailing_to_make ON mailing(id) WHERE made_at = 0;

ALTER TABLE message ADD COLUMN mailing_id INTEGER NOT NULL DEFAULT 0;
ALTER TABLE message ADD COLUMN failure TEXT NOT NULL DEFAULT '';  -- why the last try failed, without the address
CREATE INDEX message_by_mailing ON message(mailing_id, state) WHERE mailing_id != 0;
CREATE INDEX message_failed ON message(id) WHERE state = 'failed';

-- Addresses that want no more mailings, under a keyed hash: the list serves to leave them out and names nobody.
CREATE TABLE mail_stop (
  address_mac  BLOB PRIMARY KEY CHECK (length(address_mac) = 32),
  at           INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
