-- Accounts of hosts: where each is signed in, which browsers and passkeys are known, and what happened.

-- A sign-in. The session (package scs) holds its id; deleting the row ends the session at its next request.
CREATE TABLE signed_in (
  id        TEXT PRIMARY KEY,            -- random, and not the cookie's value
  host_id   INTEGER NOT NULL REFERENCES host(id),
  device    TEXT NOT NULL,               -- in words, from what the browser calls itself
  began_at  INTEGER NOT NULL,
  seen_at   INTEGER NOT NULL
) STRICT;
CREATE INDEX signed_in_by_host ON signed_in(host_id, seen_at);

-- Browsers in which somebody signed in before: guesses at the account elsewhere do not slow these down.
CREATE TABLE known_browser (
  token_hash  BLOB PRIMARY KEY CHECK (length(token_hash) = 32),
  host_id     INTEGER NOT NULL REFERENCES host(id),
  at          INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX known_browser_by_host ON known_browser(host_id, at);

CREATE TABLE passkey (
  id          INTEGER PRIMARY KEY,
  host_id     INTEGER NOT NULL REFERENCES host(id),
  name        TEXT NOT NULL,
  credential  BLOB NOT NULL UNIQUE,      -- the credential's id, of the authenticator's making
  record      TEXT NOT NULL,             -- JSON: public key, flags and counter
  created_at  INTEGER NOT NULL,
  used_at     INTEGER NOT NULL DEFAULT 0
) STRICT;
CREATE INDEX passkey_by_host ON passkey(host_id);

-- What happened to an account; its host reads it.
CREATE TABLE account_event (
  id       INTEGER PRIMARY KEY,
  host_id  INTEGER NOT NULL REFERENCES host(id),
  kind     TEXT NOT NULL,
  detail   TEXT NOT NULL DEFAULT '',     -- a device or the name of a passkey
  at       INTEGER NOT NULL
) STRICT;
CREATE INDEX account_event_by_host ON account_event(host_id, id);

-- Who asked for a private link again. A row is made whether or not the address is known, so that the answer takes as
-- long either way; it is worked off and deleted a moment later.
CREATE TABLE link_wish (
  challenge_id  INTEGER NOT NULL REFERENCES challenge(id),
  email_key     TEXT NOT NULL,
  PRIMARY KEY (challenge_id, email_key)
) STRICT, WITHOUT ROWID;
