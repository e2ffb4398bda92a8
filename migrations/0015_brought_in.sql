-- Entries that did not come by the form are few, and asked for on many pages.
CREATE INDEX entry_brought_in ON entry(challenge_id, number) WHERE source <> 'form';
