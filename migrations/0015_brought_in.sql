-- Entries that did not come by the form are few, and asked for on many pages.
CREATE INDEX entry_brought_in ON entry(challenge_id, number) WHERE source <> 'form';

CREATE INDEX message_by_dish ON message(dish_id);
CREATE INDEX job_open ON job(kind, subject_id) WHERE state IN ('waiting', 'failed');
