-- What a shop sets for all its recipes, one JSON value under each key. And what
-- came to the row of a batch after the first version; old rows have nothing.
CREATE TABLE setting (
	key     TEXT    PRIMARY KEY,
	wall_ms INTEGER NOT NULL,
	body    TEXT    NOT NULL
) STRICT;
ALTER TABLE summary ADD COLUMN more TEXT NOT NULL DEFAULT '{}';
