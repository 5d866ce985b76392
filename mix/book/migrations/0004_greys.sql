-- Systems of undercoats with the shop's own drawdowns: what stands there now,
-- and every body that one ever had, as it is for recipes.
CREATE TABLE grey (
	id         TEXT    PRIMARY KEY,
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	deleted    INTEGER NOT NULL CHECK (deleted IN (0, 1))
) STRICT;
CREATE TABLE grey_version (
	n          INTEGER PRIMARY KEY,
	id         TEXT    NOT NULL REFERENCES grey (id),
	version    INTEGER NOT NULL CHECK (version > 0),
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	UNIQUE (id, version)
) STRICT;
CREATE TRIGGER grey_version_no_update BEFORE UPDATE ON grey_version
BEGIN SELECT RAISE(ABORT, 'earlier systems of undercoats are never changed'); END;
CREATE TRIGGER grey_version_no_delete BEFORE DELETE ON grey_version
BEGIN SELECT RAISE(ABORT, 'earlier systems of undercoats are never deleted'); END;
CREATE TRIGGER grey_version_gapless BEFORE INSERT ON grey_version
WHEN NEW.version <> (SELECT coalesce(max(version), 0) + 1 FROM grey_version WHERE id = NEW.id)
	OR EXISTS (SELECT 1 FROM grey_version WHERE n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'versions of a system follow each other without a gap'); END;
