-- What the host adds to the result page: a video as a link, a sponsor, and whether every score is open.
CREATE TABLE publication (
  challenge_id  INTEGER PRIMARY KEY REFERENCES challenge(id),
  video_url     TEXT NOT NULL DEFAULT '',
  video_title   TEXT NOT NULL DEFAULT '',
  still_id      INTEGER REFERENCES photo(id),  -- NULL: a card is drawn
  sponsor       TEXT NOT NULL DEFAULT '',
  sponsor_url   TEXT NOT NULL DEFAULT '',
  open_scores   INTEGER NOT NULL DEFAULT 0     -- every plate's, not the finalists' alone
) STRICT;
CREATE INDEX publication_by_still ON publication(still_id) WHERE still_id IS NOT NULL;
