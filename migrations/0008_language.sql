-- The language a challenge's visitors read; empty for the community's own.
ALTER TABLE challenge ADD COLUMN language TEXT NOT NULL DEFAULT '';
