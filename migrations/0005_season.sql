-- Seasons: runs of challenges with standings.
CREATE TABLE season (
  id          INTEGER PRIMARY KEY,
  slug        TEXT NOT NULL UNIQUE,
  title       TEXT NOT NULL,
  about       TEXT NOT NULL DEFAULT '',  -- Markdown
  rule        TEXT NOT NULL,             -- JSON: how points are given
  ruled_at    INTEGER NOT NULL,          -- when the rule was set last
  created_at  INTEGER NOT NULL
) STRICT;

CREATE TABLE season_challenge (
  challenge_id  INTEGER PRIMARY KEY REFERENCES challenge(id),
  season_id     INTEGER NOT NULL REFERENCES season(id)
) STRICT;
CREATE INDEX season_challenge_by_season ON season_challenge(season_id, challenge_id);

-- The vote on the theme that follows a challenge. That a browser voted and what it chose lie apart and without times,
-- as in a vote on dishes.
CREATE TABLE theme_vote (
  challenge_id  INTEGER PRIMARY KEY REFERENCES challenge(id),
  method        TEXT NOT NULL,
  opened_at     INTEGER NOT NULL,
  ends_at       INTEGER NOT NULL
) STRICT;

CREATE TABLE theme (
  id            INTEGER PRIMARY KEY,
  challenge_id  INTEGER NOT NULL REFERENCES theme_vote(challenge_id) ON DELETE CASCADE,
  title         TEXT NOT NULL,
  about         TEXT NOT NULL
) STRICT;
CREATE INDEX theme_by_challenge ON theme(challenge_id, id);

CREATE TABLE theme_pass (
  challenge_id  INTEGER NOT NULL REFERENCES theme_vote(challenge_id) ON DELETE CASCADE,
  token_hash    BLOB NOT NULL,
  PRIMARY KEY (challenge_id, token_hash)
) STRICT, WITHOUT ROWID;

CREATE TABLE theme_ballot (
  challenge_id  INTEGER NOT NULL REFERENCES theme_vote(challenge_id) ON DELETE CASCADE,
  key           BLOB NOT NULL,
  choices       TEXT NOT NULL,
  PRIMARY KEY (challenge_id, key)
) STRICT, WITHOUT ROWID;

-- Title and brief of challenges by id, for the archive.
CREATE VIRTUAL TABLE challenge_search USING fts5(title, brief, content = '', contentless_delete = 1, tokenize = 'unicode61 remove_diacritics 2');
INSERT INTO challenge_search (rowid, title, brief) SELECT id, title, brief FROM challenge;
CREATE TRIGGER challenge_search_new AFTER INSERT ON challenge BEGIN
  INSERT INTO challenge_search (rowid, title, brief) VALUES (new.id, new.title, new.brief);
END;
CREATE TRIGGER challenge_search_changed AFTER UPDATE OF title, brief ON challenge BEGIN
  DELETE FROM challenge_search WHERE rowid = old.id;
  INSERT INTO challenge_search (rowid, title, brief) VALUES (new.id, new.title, new.brief);
END;

-- Who asked for the page of all entries of an address; see link_wish.
CREATE TABLE own_wish (
  email_key  TEXT PRIMARY KEY
) STRICT, WITHOUT ROWID;
