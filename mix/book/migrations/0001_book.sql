PRAGMA application_id = 0x67637570; -- "gcup": tells the book from other SQLite files

-- Order comes from n and seq, never from wall_ms: a small board may have its
-- clock wrong. n is declared, because VACUUM renumbers a hidden rowid.
CREATE TABLE event (
	n       INTEGER PRIMARY KEY,
	batch   TEXT    NOT NULL,
	seq     INTEGER NOT NULL CHECK (seq > 0),
	boot    TEXT    NOT NULL,
	mono_ns INTEGER NOT NULL,
	wall_ms INTEGER NOT NULL,
	key     TEXT    NOT NULL,
	type    TEXT    NOT NULL,
	version INTEGER NOT NULL,
	body    TEXT    NOT NULL,
	UNIQUE (batch, seq)
) STRICT;

-- The first event and the ending of each batch, so that the unfinished one is
-- found at start without reading the whole book.
CREATE INDEX event_first ON event (n, batch) WHERE seq = 1;
CREATE INDEX event_end ON event (batch) WHERE type IN ('completed', 'stopped', 'aborted');

CREATE TABLE trace (
	n     INTEGER PRIMARY KEY,
	batch TEXT    NOT NULL,
	part  INTEGER NOT NULL CHECK (part > 0),
	bytes BLOB    NOT NULL,
	UNIQUE (batch, part)
) STRICT;

CREATE TABLE summary (
	n               INTEGER PRIMARY KEY,
	batch           TEXT    NOT NULL UNIQUE,
	recipe          TEXT    NOT NULL,
	recipe_id       TEXT    NOT NULL,
	outcome         TEXT    NOT NULL,
	on_the_line     INTEGER NOT NULL CHECK (on_the_line IN (0, 1)),
	started_boot    TEXT    NOT NULL,
	started_mono_ns INTEGER NOT NULL,
	started_wall_ms INTEGER NOT NULL,
	ended_boot      TEXT    NOT NULL,
	ended_mono_ns   INTEGER NOT NULL,
	ended_wall_ms   INTEGER NOT NULL,
	level_ups       INTEGER NOT NULL,
	total_g         REAL    NOT NULL,
	total_ml        REAL    NOT NULL,
	components      TEXT    NOT NULL
) STRICT;
CREATE INDEX summary_ended ON summary (ended_wall_ms);

-- What stands on the shelf now; recipe_version keeps every body it ever had.
CREATE TABLE recipe (
	id         TEXT    PRIMARY KEY,
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	deleted    INTEGER NOT NULL CHECK (deleted IN (0, 1))
) STRICT;

CREATE TABLE recipe_version (
	n          INTEGER PRIMARY KEY,
	id         TEXT    NOT NULL REFERENCES recipe (id),
	version    INTEGER NOT NULL CHECK (version > 0),
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	UNIQUE (id, version)
) STRICT;

-- Append-only. The insert triggers are needed as well: INSERT OR REPLACE
-- deletes without firing a delete trigger. They also keep sequences gapless.
CREATE TRIGGER event_no_update BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'events are never changed'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'events are never deleted'); END;
CREATE TRIGGER event_gapless BEFORE INSERT ON event
WHEN NEW.seq <> (SELECT coalesce(max(seq), 0) + 1 FROM event WHERE batch = NEW.batch)
	OR EXISTS (SELECT 1 FROM event WHERE n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'events of a batch follow each other without a gap'); END;

CREATE TRIGGER trace_no_update BEFORE UPDATE ON trace
BEGIN SELECT RAISE(ABORT, 'traces are never changed'); END;
CREATE TRIGGER trace_no_delete BEFORE DELETE ON trace
BEGIN SELECT RAISE(ABORT, 'traces are never deleted'); END;
CREATE TRIGGER trace_gapless BEFORE INSERT ON trace
WHEN NEW.part <> (SELECT coalesce(max(part), 0) + 1 FROM trace WHERE batch = NEW.batch)
	OR EXISTS (SELECT 1 FROM trace WHERE n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'pieces of a trace follow each other without a gap'); END;

CREATE TRIGGER summary_no_update BEFORE UPDATE ON summary
BEGIN SELECT RAISE(ABORT, 'summaries are never changed'); END;
CREATE TRIGGER summary_no_delete BEFORE DELETE ON summary
BEGIN SELECT RAISE(ABORT, 'summaries are never deleted'); END;
CREATE TRIGGER summary_once BEFORE INSERT ON summary
WHEN EXISTS (SELECT 1 FROM summary WHERE batch = NEW.batch OR n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'a batch has one summary'); END;

CREATE TRIGGER recipe_version_no_update BEFORE UPDATE ON recipe_version
BEGIN SELECT RAISE(ABORT, 'earlier recipes are never changed'); END;
CREATE TRIGGER recipe_version_no_delete BEFORE DELETE ON recipe_version
BEGIN SELECT RAISE(ABORT, 'earlier recipes are never deleted'); END;
CREATE TRIGGER recipe_version_gapless BEFORE INSERT ON recipe_version
WHEN NEW.version <> (SELECT coalesce(max(version), 0) + 1 FROM recipe_version WHERE id = NEW.id)
	OR EXISTS (SELECT 1 FROM recipe_version WHERE n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'versions of a recipe follow each other without a gap'); END;
