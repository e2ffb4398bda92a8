-- Whether the answers that hold now let an entry go into a round: 1 where everything needed is agreed to. Kept with the
-- answers in one unit. Entries that lack it are few, and asked for on many pages.
ALTER TABLE entry ADD COLUMN agreed INTEGER NOT NULL DEFAULT 0;
UPDATE entry SET agreed =
  COALESCE((SELECT given FROM consent WHERE consent.dish_id = entry.dish_id AND kind = 'considered' ORDER BY id DESC LIMIT 1), 0) AND
  COALESCE((SELECT given FROM consent WHERE consent.dish_id = entry.dish_id AND kind = 'of-age' ORDER BY id DESC LIMIT 1), 0);
DROP INDEX entry_brought_in;
CREATE INDEX entry_unagreed ON entry(challenge_id, number) WHERE agreed = 0 AND state = 'in';

CREATE INDEX question_open ON question(dish_id) WHERE answered_at = 0;
