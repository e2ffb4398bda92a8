-- The host's list is read in the order of an index, a page at a time. The title of an entry is its dish's.
ALTER TABLE entry ADD COLUMN title TEXT NOT NULL DEFAULT '';
UPDATE entry SET title = (SELECT title FROM dish WHERE dish.id = entry.dish_id);
CREATE TRIGGER entry_titled AFTER INSERT ON entry WHEN NEW.title = ''
BEGIN UPDATE entry SET title = (SELECT title FROM dish WHERE dish.id = NEW.dish_id) WHERE dish_id = NEW.dish_id; END;
CREATE TRIGGER dish_retitled AFTER UPDATE OF title ON dish WHEN NEW.title <> OLD.title
BEGIN UPDATE entry SET title = NEW.title WHERE dish_id = NEW.id; END;
CREATE INDEX entry_by_title ON entry(challenge_id, title COLLATE NOCASE, number);
CREATE INDEX entry_by_minutes ON entry(challenge_id, minutes, number);
CREATE INDEX entry_by_ingredients ON entry(challenge_id, ingredients, number);
CREATE INDEX entry_by_findings ON entry(challenge_id, findings, number);

CREATE INDEX dish_of_house ON dish(challenge_id) WHERE kind = 'house';
CREATE INDEX plate_by_dish ON plate(dish_id);
CREATE INDEX sheet_by_plate ON sheet(plate_id, judge_id);
