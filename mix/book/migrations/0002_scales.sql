-- The scale that this bench was set up with, in one row: another one that
-- answers on the same line is not to be taken for it. And the checks of scales
-- with a test weight, in the order in which they were made.
CREATE TABLE scale_known (
	n       INTEGER PRIMARY KEY CHECK (n = 1),
	wall_ms INTEGER NOT NULL,
	body    TEXT    NOT NULL
) STRICT;
CREATE TABLE scale_check (
	n        INTEGER PRIMARY KEY,
	identity TEXT    NOT NULL,
	boot     TEXT    NOT NULL,
	mono_ns  INTEGER NOT NULL,
	wall_ms  INTEGER NOT NULL,
	passed   INTEGER NOT NULL CHECK (passed IN (0, 1)),
	body     TEXT    NOT NULL
) STRICT;
