-- How long after its results a challenge keeps people's data: 0 for until somebody deletes them. forgotten_at is when it
-- was done.
ALTER TABLE challenge ADD COLUMN keep_days INTEGER NOT NULL DEFAULT 0;
ALTER TABLE challenge ADD COLUMN forgotten_at INTEGER NOT NULL DEFAULT 0;

-- The one who stands for everybody whose time was over, where a recipe stays public under the agreed credit.
ALTER TABLE site ADD COLUMN nobody_id INTEGER NOT NULL DEFAULT 0;
