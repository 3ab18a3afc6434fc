PRAGMA application_id = 1280201795;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0001');
CREATE TABLE descriptions (
	id INTEGER NOT NULL, 
	tank_id INTEGER NOT NULL, 
	toml TEXT NOT NULL, 
	recorded DATETIME NOT NULL, 
	CONSTRAINT pk_descriptions PRIMARY KEY (id), 
	CONSTRAINT fk_descriptions_tank_id FOREIGN KEY(tank_id) REFERENCES tanks (id)
);
INSERT INTO "descriptions" VALUES(1,1,'format = "lentic-tank-1"
name = "Loft tank"
timezone = "Europe/Oslo"

[tank]
water_l = 150.0

[[turtle]]
id = "bramble"
','2026-03-01 18:00:00.000000');
CREATE TABLE events (
	id INTEGER NOT NULL, 
	tank_id INTEGER NOT NULL, 
	time DATETIME NOT NULL, 
	kind TEXT NOT NULL, 
	what TEXT NOT NULL, 
	body JSON NOT NULL, 
	note TEXT NOT NULL, 
	recorded DATETIME NOT NULL, 
	digest TEXT NOT NULL, 
	occurrence INTEGER NOT NULL, 
	CONSTRAINT pk_events PRIMARY KEY (id), 
	CONSTRAINT fk_events_tank_id FOREIGN KEY(tank_id) REFERENCES tanks (id), 
	CONSTRAINT uq_events_tank_id_digest_occurrence UNIQUE (tank_id, digest, occurrence)
);
INSERT INTO "events" VALUES(1,1,'2026-03-01 18:00:00.000000','feed','pellet_adult','{"food": "pellet_adult", "grams": 1.4, "spread": false}','asked for "more"','2026-03-01 18:00:00.000000','6da75389f9ef530646ad2b964b5fb2d27e1f666fbabdb6acd96e8b7ccf5b7198',0);
INSERT INTO "events" VALUES(2,1,'2026-03-01 18:00:00.000000','change','','{"litres": 36.0, "percent": null}','','2026-03-01 18:00:00.000000','d13904e9672112ae8e494eb9de4c9e36f4f89e6eac2c93dfea0ab7efe6f275b0',0);
INSERT INTO "events" VALUES(3,1,'2026-03-01 18:00:00.000000','void','','{"of_time": "2026-03-01T18:00:00+00:00", "of_kind": "change", "of_what": null}','','2026-03-01 18:00:00.000000','63e34da91a90b9b24eb735bc075295f681b7f67f3c510ab6f9f3c2a2e9b16d06',0);
INSERT INTO "events" VALUES(4,1,'2026-03-01 18:00:00.000000','refused','','{"text": "2026-03-01,fed,pellet,1,g,"}','','2026-03-01 18:00:00.000000','49016294d8d5100c15e2929e8781600002dee90f4814226572a527a6ebd33ed7',0);
CREATE TABLE tanks (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	recorded DATETIME NOT NULL, 
	CONSTRAINT pk_tanks PRIMARY KEY (id), 
	CONSTRAINT uq_tanks_name UNIQUE (name)
);
INSERT INTO "tanks" VALUES(1,'Loft tank','2026-03-01 18:00:00.000000');
CREATE INDEX ix_descriptions_tank_id ON descriptions (tank_id);
CREATE INDEX ix_events_tank_id_time ON events (tank_id, time);
CREATE TRIGGER descriptions_refuse_update BEFORE UPDATE ON descriptions BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER descriptions_refuse_delete BEFORE DELETE ON descriptions BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER events_refuse_update BEFORE UPDATE ON events BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
CREATE TRIGGER events_refuse_delete BEFORE DELETE ON events BEGIN SELECT RAISE(ABORT, 'the log is only ever added to'); END;
COMMIT;
