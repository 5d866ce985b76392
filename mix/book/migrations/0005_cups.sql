-- Cups that were measured with water at two or more heights. One that was taken
-- off the list stays here, so that it can be brought back.
CREATE TABLE cup (
	id         TEXT    PRIMARY KEY,
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	deleted    INTEGER NOT NULL CHECK (deleted IN (0, 1))
) STRICT;
