-- A book of version 4, as text. Every later program must open it.
-- Made from a book.db with: sqlite3 book.db .dump; the two PRAGMA lines, which
-- a dump leaves out, were added. It is never changed.
PRAGMA application_id=1734571376;
PRAGMA user_version=4;
PRAGMA foreign_keys=OFF;
BEGIN TRANSACTION;
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
INSERT INTO event VALUES(1,'batch-one',1,'boot-a',1234567891,1700000001234,'batch-one-key-1','started',1,'{"recipe":{"id":"slate-surfacer","name":"Slate surfacer","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650},"amount":{"kind":"volume","ml":600},"division_ug":100000}');
INSERT INTO event VALUES(2,'batch-one',2,'boot-a',2469135782,1700000002468,'','cup-placed',1,'{"cup_ug":31000000}');
INSERT INTO event VALUES(3,'batch-one',3,'boot-a',3703703673,1700000003702,'','aborted',1,'{"net_ug":13}');
INSERT INTO event VALUES(4,'batch-two',1,'boot-a',1234567891,1700000001234,'batch-two-key-1','started',1,'{"recipe":{"id":"slate-surfacer","name":"Slate surfacer","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650},"amount":{"kind":"volume","ml":600},"division_ug":100000}');
INSERT INTO event VALUES(5,'batch-two',2,'boot-a',2469135782,1700000002468,'','cup-placed',1,'{"cup_ug":31000000}');
INSERT INTO event VALUES(6,'batch-two',3,'boot-a',3703703673,1700000003702,'','zeroed',1,'{"reference_ug":0,"mode":2}');
INSERT INTO event VALUES(7,'batch-two',4,'boot-a',4938271564,1700000004936,'batch-two-key-4','accepted',1,'{"component":0,"amount_ug":568000000,"line":"on"}');
INSERT INTO event VALUES(8,'batch-two',5,'boot-a',6172839455,1700000006170,'','held',1,'{"reason":"scale-lost","net_ug":600000000,"top_ug":601000000}');
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
, more TEXT NOT NULL DEFAULT '{}') STRICT;
INSERT INTO summary VALUES(1,'batch-one','Slate','slate-surfacer','aborted',0,'boot-a',1,1699999975000,'boot-b',75000000001,1700000050000,2,761.33333333333337122,600.0,'[{"name":"Slate surfacer","role":"base","target_g":568,"poured_g":568.1,"error_g":0.1,"volume_ml":400.07,"line":"on"},{"name":"Slate hardener","role":"hardener","target_g":106,"poured_g":99,"error_g":-7,"volume_ml":93.4,"line":"short","kept":true}]','{}');
CREATE TABLE recipe (
	id         TEXT    PRIMARY KEY,
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	deleted    INTEGER NOT NULL CHECK (deleted IN (0, 1))
) STRICT;
INSERT INTO recipe VALUES('slate-surfacer','{"id":"slate-surfacer","name":"Slate surfacer","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650}',1795635849893,0);
CREATE TABLE recipe_version (
	n          INTEGER PRIMARY KEY,
	id         TEXT    NOT NULL REFERENCES recipe (id),
	version    INTEGER NOT NULL CHECK (version > 0),
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	UNIQUE (id, version)
) STRICT;
INSERT INTO recipe_version VALUES(1,'slate-surfacer',1,'{"id":"slate-surfacer","name":"Slate surfacer","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650}',1795635849893);
CREATE TABLE scale_known (
	n       INTEGER PRIMARY KEY CHECK (n = 1),
	wall_ms INTEGER NOT NULL,
	body    TEXT    NOT NULL
) STRICT;
INSERT INTO scale_known VALUES(1,1700000090000,'{"identity":"/dev/serial/by-id/usb-bench-scale-A7","usb":"1234:0001:A7","shape":"sma","unit":"g","places":[1],"about":["MFG:simulated","SN :7","CAP:g  :6000.0:1:1"]}');
CREATE TABLE scale_check (
	n        INTEGER PRIMARY KEY,
	identity TEXT    NOT NULL,
	boot     TEXT    NOT NULL,
	mono_ns  INTEGER NOT NULL,
	wall_ms  INTEGER NOT NULL,
	passed   INTEGER NOT NULL CHECK (passed IN (0, 1)),
	body     TEXT    NOT NULL
) STRICT;
INSERT INTO scale_check VALUES(1,'/dev/serial/by-id/usb-bench-scale-A7','boot-a',60000000000,1700000060000,0,'{}');
INSERT INTO scale_check VALUES(2,'/dev/serial/by-id/usb-bench-scale-A7','boot-a',80000000000,1700000080000,1,'{}');
CREATE TABLE setting (
	key     TEXT    PRIMARY KEY,
	wall_ms INTEGER NOT NULL,
	body    TEXT    NOT NULL
) STRICT;
INSERT INTO setting VALUES('shop',1700000095000,'{"shop_c":24.5}');
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
CREATE INDEX event_first ON event (n, batch) WHERE seq = 1;
CREATE INDEX event_end ON event (batch) WHERE type IN ('completed', 'stopped', 'aborted');
CREATE INDEX summary_ended ON summary (ended_wall_ms);
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
CREATE TRIGGER grey_version_no_update BEFORE UPDATE ON grey_version
BEGIN SELECT RAISE(ABORT, 'earlier systems of undercoats are never changed'); END;
CREATE TRIGGER grey_version_no_delete BEFORE DELETE ON grey_version
BEGIN SELECT RAISE(ABORT, 'earlier systems of undercoats are never deleted'); END;
CREATE TRIGGER grey_version_gapless BEFORE INSERT ON grey_version
WHEN NEW.version <> (SELECT coalesce(max(version), 0) + 1 FROM grey_version WHERE id = NEW.id)
	OR EXISTS (SELECT 1 FROM grey_version WHERE n = NEW.n)
BEGIN SELECT RAISE(ABORT, 'versions of a system follow each other without a gap'); END;
COMMIT;
