-- Further pictures that came with a recipe: of an import, as they came; of an entry, made harmless. The first stands
-- with its version.
CREATE TABLE import_picture (
  item_id   INTEGER NOT NULL REFERENCES import_item(id) ON DELETE CASCADE,
  place     INTEGER NOT NULL,
  photo     BLOB NOT NULL,
  PRIMARY KEY (item_id, place)
) STRICT;

CREATE TABLE dish_picture (
  dish_id   INTEGER NOT NULL REFERENCES entry(dish_id),
  place     INTEGER NOT NULL,
  photo_id  INTEGER NOT NULL REFERENCES photo(id),
  PRIMARY KEY (dish_id, place)
) STRICT, WITHOUT ROWID;
CREATE INDEX dish_picture_by_photo ON dish_picture(photo_id);

-- Where an entry that was brought in came from.
CREATE TABLE entry_origin (
  dish_id   INTEGER PRIMARY KEY REFERENCES entry(dish_id),
  file      TEXT NOT NULL,               -- name of the file or folder, masked
  place     TEXT NOT NULL,               -- place in it, masked
  sent_at   INTEGER NOT NULL             -- as the sender's program wrote it; 0 where there is none
) STRICT;
