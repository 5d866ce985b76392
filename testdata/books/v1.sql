-- A book of version 1, as text. Every later program must open it.
-- Made from a book.db with: sqlite3 book.db .dump; the two PRAGMA lines, which
-- a dump leaves out, were added. It is never changed.
PRAGMA application_id=1734571376;
PRAGMA user_version=1;
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
INSERT INTO event VALUES(1,'batch-every-kind',1,'boot-a',1234567891,1700000001234,'batch-every-kind-key-1','started',1,'{"recipe":{"id":"slate-surfacer","name":"Kestrel Lane Slate surfacer 4:1:1","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650},"amount":{"kind":"volume","ml":600},"division_ug":100000}');
INSERT INTO event VALUES(2,'batch-every-kind',2,'boot-a',2469135782,1700000002468,'','cup-placed',1,'{"cup_ug":31000000}');
INSERT INTO event VALUES(3,'batch-every-kind',3,'boot-a',3703703673,1700000003702,'','zeroed',1,'{"reference_ug":31000000,"mode":1,"software":true}');
INSERT INTO event VALUES(4,'batch-every-kind',4,'boot-a',4938271564,1700000004936,'batch-every-kind-key-4','rested',1,'{"net_ug":300000007}');
INSERT INTO event VALUES(5,'batch-every-kind',5,'boot-a',6172839455,1700000006170,'','went-past',1,'{"component":0,"amount_ug":590000000,"net_ug":590000000}');
INSERT INTO event VALUES(6,'batch-every-kind',6,'boot-a',7407407346,1700000007404,'','went-back',1,'{"component":0}');
INSERT INTO event VALUES(7,'batch-every-kind',7,'boot-a',8641975237,1700000008638,'batch-every-kind-key-7','accepted',1,'{"component":0,"amount_ug":568000000,"line":"on"}');
INSERT INTO event VALUES(8,'batch-every-kind',8,'boot-a',9876543128,1700000009872,'','reopened',1,'{"component":0}');
INSERT INTO event VALUES(9,'batch-every-kind',9,'boot-a',11111111019,1700000011106,'','accepted',1,'{"component":0,"amount_ug":567000000,"line":"short","kept":true}');
INSERT INTO event VALUES(10,'batch-every-kind',10,'boot-a',12345678910,1700000012340,'batch-every-kind-key-10','held',1,'{"reason":"cup-lifted","net_ug":567000000,"top_ug":570000000}');
INSERT INTO event VALUES(11,'batch-every-kind',11,'boot-a',13580246801,1700000013574,'','came-back',1,'{"net_ug":569000000}');
INSERT INTO event VALUES(12,'batch-every-kind',12,'boot-a',14814814692,1700000014808,'','restarted',1,'{"shift_ug":-2000000,"mode":2}');
INSERT INTO event VALUES(13,'batch-every-kind',13,'boot-a',16049382583,1700000016042,'batch-every-kind-key-13','leveled-up',1,'{"component":1,"amount_ug":115000000,"factor":1.3333333333333333}');
INSERT INTO event VALUES(14,'batch-every-kind',14,'boot-a',17283950474,1700000017276,'','accepted',1,'{"component":0,"amount_ug":757000000,"line":"on","settles":true}');
INSERT INTO event VALUES(15,'batch-every-kind',15,'boot-a',18518518365,1700000018510,'','faulted',1,'{"reason":"a rule of the batch is broken: \"layers\" ≠ content\n\u0000"}');
INSERT INTO event VALUES(16,'batch-every-kind',16,'boot-a',19753086256,1700000019744,'batch-every-kind-key-16','completed',1,'{}');
INSERT INTO event VALUES(17,'batch-stopped',1,'boot-a',1234567891,1700000001234,'batch-stopped-key-1','started',1,'{"recipe":{"id":"slate-surfacer","name":"Kestrel Lane Slate surfacer 4:1:1","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650},"amount":{"kind":"volume","ml":600},"division_ug":100000}');
INSERT INTO event VALUES(18,'batch-stopped',2,'boot-a',2469135782,1700000002468,'','stopped',1,'{"net_ug":5000000}');
INSERT INTO event VALUES(19,'batch-aborted',1,'boot-a',1234567891,1700000001234,'batch-aborted-key-1','started',1,'{"recipe":{"id":"slate-surfacer","name":"Kestrel Lane Slate surfacer 4:1:1","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650},"amount":{"kind":"volume","ml":600},"division_ug":100000}');
INSERT INTO event VALUES(20,'batch-aborted',2,'boot-a',2469135782,1700000002468,'','aborted',1,'{"net_ug":6000000}');
INSERT INTO event VALUES(21,'batch-open',1,'boot-a',1234567891,1700000001234,'batch-open-key-1','started',1,'{"recipe":{"id":"slate-surfacer","name":"Kestrel Lane Slate surfacer 4:1:1","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650},"amount":{"kind":"volume","ml":600},"division_ug":100000}');
INSERT INTO event VALUES(22,'batch-open',2,'boot-a',2469135782,1700000002468,'','cup-placed',1,'{"cup_ug":31000000}');
INSERT INTO event VALUES(23,'batch-open',3,'boot-a',3703703673,1700000003702,'','zeroed',1,'{"reference_ug":31000000,"mode":1,"software":true}');
INSERT INTO event VALUES(24,'batch-open',4,'boot-a',4938271564,1700000004936,'batch-open-key-4','accepted',1,'{"component":0,"amount_ug":568000000,"line":"on"}');
CREATE TABLE trace (
	n     INTEGER PRIMARY KEY,
	batch TEXT    NOT NULL,
	part  INTEGER NOT NULL CHECK (part > 0),
	bytes BLOB    NOT NULL,
	UNIQUE (batch, part)
) STRICT;
INSERT INTO trace VALUES(1,'batch-every-kind',1,X'0b80a0abfef96200c801b817');
INSERT INTO trace VALUES(2,'batch-every-kind',2,X'09d0afabfef96280ab45');
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
INSERT INTO summary VALUES(1,'batch-every-kind','Slate','slate-surfacer','complete',1,'boot-a',1,1700000000000,'boot-b',75000000001,1700000075000,2,761.33333333333337122,600.0,'[{"name":"Slate surfacer","role":"base","target_g":568,"poured_g":568.1,"error_g":0.1,"volume_ml":400.07,"line":"on"},{"name":"Slate hardener","role":"hardener","target_g":106,"poured_g":99,"error_g":-7,"volume_ml":93.4,"line":"short","kept":true}]');
CREATE TABLE recipe (
	id         TEXT    PRIMARY KEY,
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	deleted    INTEGER NOT NULL CHECK (deleted IN (0, 1))
) STRICT;
INSERT INTO recipe VALUES('slate-surfacer','{"id":"slate-surfacer","name":"Kestrel Lane Slate surfacer 4:1:1","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":40,"cup_usable_ml":650}',1795625165042,0);
INSERT INTO recipe VALUES('lantern-clear','{"id":"lantern-clear","name":"Kestrel Lane Lantern clear 2:1 + 10 %","note":"Invented for the sample shelf; no such product exists. Two coats over the base; 10 % reducer of clear and hardener together.","basis":"volume","components":[{"name":"Lantern clear","role":"base","parts":2,"density":{"g_ml":0.98,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":38},{"name":"Lantern hardener","role":"hardener","parts":1,"density":{"g_ml":1.05,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":52},{"name":"Drift reducer, medium","role":"reducer","percent":10,"of":"parts","density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":120,"cup_usable_ml":1000}',1795625165043,1);
CREATE TABLE recipe_version (
	n          INTEGER PRIMARY KEY,
	id         TEXT    NOT NULL REFERENCES recipe (id),
	version    INTEGER NOT NULL CHECK (version > 0),
	body       TEXT    NOT NULL,
	changed_ms INTEGER NOT NULL,
	UNIQUE (id, version)
) STRICT;
INSERT INTO recipe_version VALUES(1,'slate-surfacer',1,'{"id":"slate-surfacer","name":"Kestrel Lane Slate surfacer 4:1:1","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":45,"cup_usable_ml":650}',1795625165040);
INSERT INTO recipe_version VALUES(2,'lantern-clear',1,'{"id":"lantern-clear","name":"Kestrel Lane Lantern clear 2:1 + 10 %","note":"Invented for the sample shelf; no such product exists. Two coats over the base; 10 % reducer of clear and hardener together.","basis":"volume","components":[{"name":"Lantern clear","role":"base","parts":2,"density":{"g_ml":0.98,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":38},{"name":"Lantern hardener","role":"hardener","parts":1,"density":{"g_ml":1.05,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":52},{"name":"Drift reducer, medium","role":"reducer","percent":10,"of":"parts","density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":120,"cup_usable_ml":1000}',1795625165041);
INSERT INTO recipe_version VALUES(3,'slate-surfacer',2,'{"id":"slate-surfacer","name":"Kestrel Lane Slate surfacer 4:1:1","note":"Invented for the sample shelf; no such product exists. Two to three coats under the topcoat of a repaired panel.","basis":"volume","components":[{"name":"Slate surfacer","role":"base","parts":4,"density":{"g_ml":1.42,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.02,"price_per_l":26},{"name":"Slate hardener","role":"hardener","parts":1,"density":{"g_ml":1.06,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.03,"price_per_l":44},{"name":"Drift reducer, medium","role":"reducer","parts":1,"density":{"g_ml":0.87,"reference_c":20,"source":"invented for the sample shelf"},"tolerance":0.05,"price_per_l":11}],"pot_life_min":40,"cup_usable_ml":650}',1795625165042);
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
COMMIT;
