BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0012');
CREATE TABLE aside (
	"key" VARCHAR NOT NULL, 
	id VARCHAR NOT NULL, 
	device VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	n INTEGER NOT NULL, 
	turn INTEGER NOT NULL, 
	hash VARCHAR NOT NULL, 
	text VARCHAR NOT NULL, 
	signature VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	why VARCHAR NOT NULL, 
	placed BOOLEAN NOT NULL, 
	received_at VARCHAR NOT NULL, taken VARCHAR DEFAULT '' NOT NULL, 
	PRIMARY KEY ("key"), 
	FOREIGN KEY(device) REFERENCES device (id)
);
CREATE TABLE assigned (
	opening VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, since INTEGER NOT NULL DEFAULT 0, 
	PRIMARY KEY (opening, person), 
	FOREIGN KEY(opening) REFERENCES opening (id), 
	FOREIGN KEY(person) REFERENCES person (id)
);
INSERT INTO "assigned" VALUES('op-1','inga',2);
INSERT INTO "assigned" VALUES('op-1','otto',3);
INSERT INTO "assigned" VALUES('op-2','inga',5);
INSERT INTO "assigned" VALUES('op-3','otto',7);
CREATE TABLE company (
	id INTEGER NOT NULL, 
	name VARCHAR NOT NULL, 
	telephone VARCHAR NOT NULL, 
	PRIMARY KEY (id)
);
CREATE TABLE company_key (
	n INTEGER NOT NULL, 
	fingerprint VARCHAR NOT NULL, 
	certificate VARCHAR NOT NULL, 
	PRIMARY KEY (n), 
	UNIQUE (fingerprint)
);
CREATE TABLE device (
	id VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	"key" VARCHAR NOT NULL, 
	key_hash VARCHAR NOT NULL, 
	token_hash VARCHAR NOT NULL, 
	made INTEGER NOT NULL, 
	revoked INTEGER, 
	last_seen INTEGER, 
	unsent INTEGER NOT NULL, 
	bundle VARCHAR NOT NULL, secret VARCHAR DEFAULT '' NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (key_hash), 
	UNIQUE (token_hash), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE TABLE device_person (
	device VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	since INTEGER NOT NULL, 
	PRIMARY KEY (device, person), 
	FOREIGN KEY(device) REFERENCES device (id), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE TABLE event (
	id VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	device VARCHAR NOT NULL, 
	n INTEGER NOT NULL, 
	prev VARCHAR NOT NULL, 
	hash VARCHAR NOT NULL, 
	turn INTEGER NOT NULL, 
	kind VARCHAR NOT NULL, 
	body VARCHAR NOT NULL, 
	received_at VARCHAR NOT NULL, seq INTEGER NOT NULL DEFAULT 0, signature VARCHAR NOT NULL DEFAULT '', flag VARCHAR NOT NULL DEFAULT '', 
	PRIMARY KEY (id), 
	UNIQUE (opening, device, n), 
	FOREIGN KEY(opening) REFERENCES opening (id)
);
INSERT INTO "event" VALUES('01a2252c-1791-7690-aff5-eaf6ed8c2dee','op-1','office-411f0852',1,'','dd568cd6c699d2a134187754c54683d967e66901652e99a0ed31c671f3e3723e',1,'opening.issued','{"at":"2026-03-02T08:00","body":{"drawing":{"amounts":{},"author":"drawing office","counts":{"tracks":"2"},"date":"2026-01-05","door":"stacking","lengths":{"frame_height":"2438400000","frame_width":"2514600000","interlock_overlap":"76200000","jamb_face":"76200000"},"limits":{},"lock":"left","number":"T-1","panels":[{"height":"2387600000","kind":"X","lead":true,"letter":"A","track":1,"width":"1219200000"},{"height":"2387600000","kind":"O","lead":false,"letter":"B","track":2,"width":"1219200000"}],"parts":[{"count":1,"mark":"P-A","step":"B","what":"panel A"}],"revision":"A","rule":"simple","set_from":"outside","shims":["1587500"],"weeps":[]},"procedure":"small","version":1},"device":"office-411f0852","id":"01a2252c-1791-7690-aff5-eaf6ed8c2dee","kind":"opening.issued","n":1,"opening":"op-1","person":"sven","prev":"","seen":{},"turn":1,"v":2}','2026-11-29T02:39:36.347+00:00',1,'','');
INSERT INTO "event" VALUES('01a2252c-17aa-7f66-bb58-359559e85edb','op-2','office-411f0852',1,'','93b931d6b52d5377149a79d4cf5ab72fdfd49d670b426894727db8388e69841b',1,'opening.issued','{"at":"2026-03-02T08:00","body":{"drawing":{"amounts":{},"author":"drawing office","counts":{"tracks":"2"},"date":"2026-01-05","door":"stacking","lengths":{"frame_height":"2438400000","frame_width":"2514600000","interlock_overlap":"76200000","jamb_face":"76200000"},"limits":{},"lock":"left","number":"T-1","panels":[{"height":"2387600000","kind":"X","lead":true,"letter":"A","track":1,"width":"1219200000"},{"height":"2387600000","kind":"O","lead":false,"letter":"B","track":2,"width":"1219200000"}],"parts":[{"count":1,"mark":"P-A","step":"B","what":"panel A"}],"revision":"A","rule":"simple","set_from":"outside","shims":["1587500"],"weeps":[]},"procedure":"small","version":1},"device":"office-411f0852","id":"01a2252c-17aa-7f66-bb58-359559e85edb","kind":"opening.issued","n":1,"opening":"op-2","person":"sven","prev":"","seen":{},"turn":1,"v":2}','2026-11-29T02:39:36.363+00:00',4,'','');
INSERT INTO "event" VALUES('01a2252c-17ac-7e51-a6a6-2f61e51cd4ce','op-3','office-411f0852',1,'','ab41d8c5c433c310cda41c964921c020cc7a5dc446ac643503d115936226082f',1,'opening.issued','{"at":"2026-03-02T08:00","body":{"drawing":{"amounts":{},"author":"drawing office","counts":{"tracks":"2"},"date":"2026-01-05","door":"stacking","lengths":{"frame_height":"2438400000","frame_width":"2514600000","interlock_overlap":"76200000","jamb_face":"76200000"},"limits":{},"lock":"left","number":"T-1","panels":[{"height":"2387600000","kind":"X","lead":true,"letter":"A","track":1,"width":"1219200000"},{"height":"2387600000","kind":"O","lead":false,"letter":"B","track":2,"width":"1219200000"}],"parts":[{"count":1,"mark":"P-A","step":"B","what":"panel A"}],"revision":"A","rule":"simple","set_from":"outside","shims":["1587500"],"weeps":[]},"procedure":"small","version":1},"device":"office-411f0852","id":"01a2252c-17ac-7e51-a6a6-2f61e51cd4ce","kind":"opening.issued","n":1,"opening":"op-3","person":"sven","prev":"","seen":{},"turn":1,"v":2}','2026-11-29T02:39:36.373+00:00',6,'','');
CREATE TABLE instrument (
	id VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	sort VARCHAR NOT NULL, 
	resolution VARCHAR NOT NULL, 
	grade VARCHAR NOT NULL, 
	slope VARCHAR NOT NULL, 
	retired BOOLEAN NOT NULL, 
	last VARCHAR NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (name)
);
CREATE TABLE instrument_check (
	occasion VARCHAR NOT NULL, 
	instrument VARCHAR NOT NULL, 
	at VARCHAR NOT NULL, 
	sorted_at VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	seq INTEGER NOT NULL, 
	text VARCHAR NOT NULL, 
	struck BOOLEAN NOT NULL, 
	PRIMARY KEY (occasion)
);
CREATE TABLE instrument_check_entry (
	event VARCHAR NOT NULL, 
	occasion VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	PRIMARY KEY (event), 
	FOREIGN KEY(event) REFERENCES event (id), 
	FOREIGN KEY(opening) REFERENCES opening (id)
);
CREATE TABLE instrument_use (
	instrument VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	seq INTEGER NOT NULL, 
	PRIMARY KEY (instrument, opening), 
	FOREIGN KEY(opening) REFERENCES opening (id)
);
CREATE TABLE invitation (
	code_hash VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	made INTEGER NOT NULL, 
	expires INTEGER NOT NULL, 
	used INTEGER, 
	PRIMARY KEY (code_hash), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE TABLE issued (
	opening VARCHAR NOT NULL, 
	revision INTEGER NOT NULL, 
	at VARCHAR NOT NULL, 
	digest VARCHAR NOT NULL, 
	code VARCHAR NOT NULL, 
	text VARCHAR NOT NULL, signature VARCHAR DEFAULT '' NOT NULL, "key" VARCHAR DEFAULT '' NOT NULL, 
	PRIMARY KEY (opening, revision), 
	FOREIGN KEY(opening) REFERENCES opening (id)
);
CREATE TABLE job (
	id VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	address VARCHAR NOT NULL, 
	homeowner VARCHAR NOT NULL, contact VARCHAR DEFAULT '' NOT NULL, 
	PRIMARY KEY (id)
);
INSERT INTO "job" VALUES('job-1','Hill house','1 Invented Way','','');
CREATE TABLE link (
	token_hash VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	made INTEGER NOT NULL, 
	expires INTEGER NOT NULL, 
	withdrawn INTEGER, 
	PRIMARY KEY (token_hash), 
	FOREIGN KEY(opening) REFERENCES opening (id), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE TABLE open_item (
	id VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	kind VARCHAR NOT NULL, 
	ref VARCHAR NOT NULL, 
	step VARCHAR NOT NULL, 
	what VARCHAR NOT NULL, 
	said VARCHAR NOT NULL, 
	choice VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	at VARCHAR NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(opening) REFERENCES opening (id)
);
CREATE TABLE opening (
	id VARCHAR NOT NULL, 
	job VARCHAR NOT NULL, 
	letter VARCHAR NOT NULL, 
	room VARCHAR NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(job) REFERENCES job (id)
);
INSERT INTO "opening" VALUES('op-1','job-1','1','Study');
INSERT INTO "opening" VALUES('op-2','job-1','2','Study');
INSERT INTO "opening" VALUES('op-3','job-1','3','Study');
CREATE TABLE pairing (
	code_hash VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	expires INTEGER NOT NULL, 
	used INTEGER, 
	PRIMARY KEY (code_hash), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE TABLE person (
	id VARCHAR NOT NULL, 
	name VARCHAR NOT NULL, 
	role VARCHAR NOT NULL, 
	login VARCHAR NOT NULL, 
	password VARCHAR NOT NULL, 
	units VARCHAR NOT NULL, 
	lang VARCHAR NOT NULL, 
	disabled BOOLEAN NOT NULL, 
	PRIMARY KEY (id), 
	UNIQUE (login)
);
INSERT INTO "person" VALUES('inga','Inga','installer','inga','none','in','en',0);
INSERT INTO "person" VALUES('otto','Otto','installer','otto','none','in','en',0);
INSERT INTO "person" VALUES('sven','Sven','supervisor','sven','none','in','en',0);
CREATE TABLE photo (
	sha256 VARCHAR NOT NULL, 
	size INTEGER NOT NULL, 
	width INTEGER NOT NULL, 
	height INTEGER NOT NULL, 
	received_at VARCHAR NOT NULL, 
	PRIMARY KEY (sha256)
);
CREATE TABLE photo_of (
	event VARCHAR NOT NULL, 
	sha256 VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	PRIMARY KEY (event), 
	FOREIGN KEY(event) REFERENCES event (id), 
	FOREIGN KEY(opening) REFERENCES opening (id)
);
CREATE TABLE procedure (
	id VARCHAR NOT NULL, 
	version INTEGER NOT NULL, 
	digest VARCHAR NOT NULL, 
	text VARCHAR NOT NULL, 
	PRIMARY KEY (id, version)
);
INSERT INTO "procedure" VALUES('small',1,'0000000000000000000000000000000000000000000000000000000000000000','{"id": "small", "version": 1, "title": "A small procedure", "doors": ["stacking"], "digest": "0000000000000000000000000000000000000000000000000000000000000000", "steps": [{"id": "A", "title": "Look", "about": "", "per": "", "hold": true, "cautions": ["Glass cuts."], "tasks": [{"id": "seen", "text": "Seen", "kind": "tick"}], "decisions": [{"id": "go", "text": "Go?", "name": true, "words": false, "choices": [{"id": "yes", "text": "Go", "opens": true}, {"id": "no", "text": "No go", "opens": false}]}], "points": [{"id": "gap", "title": "Gap", "quantity": "length", "how": "plain", "tool": "tape", "where": {"kind": "listed", "items": [{"id": "left", "title": "left", "side": "left"}, {"id": "right", "title": "right", "side": "right"}]}, "hint": "", "info": false, "closing": false}], "checks": [{"id": "gap-most", "title": "gap-most", "calc": "each-within", "points": {"readings": "gap"}, "limits": {"most": {"value": "6350000"}}, "settings": {}, "basis": {"kind": "practice", "text": ""}, "reason": "", "rank": "supervisor"}], "adjustments": [{"id": "moved", "text": "It was moved", "stale": ["gap"]}]}, {"id": "B", "title": "Set", "about": "", "per": "panel", "hold": true, "cautions": [], "tasks": [], "decisions": [], "points": [{"id": "reveal", "title": "Reveal", "quantity": "length", "how": "plain", "tool": "tape", "where": {"kind": "listed", "items": [{"id": "left", "title": "left", "side": "left"}, {"id": "right", "title": "right", "side": "right"}]}, "hint": "", "info": false, "closing": false}], "checks": [{"id": "reveal-alike", "title": "reveal-alike", "calc": "alike", "points": {"readings": "reveal"}, "limits": {"most": {"value": "1587500"}}, "settings": {}, "basis": {"kind": "practice", "text": ""}, "reason": "", "rank": "never"}], "adjustments": []}]}');
CREATE TABLE search_word (
	word VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	PRIMARY KEY (word, opening), 
	FOREIGN KEY(opening) REFERENCES opening (id)
)
 WITHOUT ROWID

;
INSERT INTO "search_word" VALUES('1','op-1');
INSERT INTO "search_word" VALUES('1','op-2');
INSERT INTO "search_word" VALUES('1','op-3');
INSERT INTO "search_word" VALUES('2','op-2');
INSERT INTO "search_word" VALUES('3','op-3');
INSERT INTO "search_word" VALUES('hill','op-1');
INSERT INTO "search_word" VALUES('hill','op-2');
INSERT INTO "search_word" VALUES('hill','op-3');
INSERT INTO "search_word" VALUES('house','op-1');
INSERT INTO "search_word" VALUES('house','op-2');
INSERT INTO "search_word" VALUES('house','op-3');
INSERT INTO "search_word" VALUES('invented','op-1');
INSERT INTO "search_word" VALUES('invented','op-2');
INSERT INTO "search_word" VALUES('invented','op-3');
INSERT INTO "search_word" VALUES('study','op-1');
INSERT INTO "search_word" VALUES('study','op-2');
INSERT INTO "search_word" VALUES('study','op-3');
INSERT INTO "search_word" VALUES('way','op-1');
INSERT INTO "search_word" VALUES('way','op-2');
INSERT INTO "search_word" VALUES('way','op-3');
CREATE TABLE session (
	token_hash VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	began INTEGER NOT NULL, 
	used INTEGER NOT NULL, 
	PRIMARY KEY (token_hash), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE TABLE setting (
	name VARCHAR NOT NULL, 
	value VARCHAR NOT NULL, 
	PRIMARY KEY (name)
);
INSERT INTO "setting" VALUES('device-web','web-5285b51c');
INSERT INTO "setting" VALUES('device-office','office-411f0852');
INSERT INTO "setting" VALUES('epoch','37db7b99d38d6f61');
INSERT INTO "setting" VALUES('mark','e50ba65ee2844892');
INSERT INTO "setting" VALUES('summaries','4');
CREATE TABLE summary (
	opening VARCHAR NOT NULL, 
	job VARCHAR NOT NULL, 
	title VARCHAR NOT NULL, 
	address VARCHAR NOT NULL, 
	letter VARCHAR NOT NULL, 
	room VARCHAR NOT NULL, 
	words VARCHAR NOT NULL, 
	state VARCHAR NOT NULL, 
	place INTEGER NOT NULL, 
	step VARCHAR NOT NULL, 
	step_title VARCHAR NOT NULL, 
	signed INTEGER NOT NULL, 
	steps INTEGER NOT NULL, 
	outs INTEGER NOT NULL, 
	queries INTEGER NOT NULL, 
	parts INTEGER NOT NULL, 
	not_ready INTEGER NOT NULL, 
	waiting INTEGER NOT NULL, 
	heard VARCHAR NOT NULL, 
	seq INTEGER NOT NULL, procedure VARCHAR DEFAULT '' NOT NULL, 
	PRIMARY KEY (opening), 
	FOREIGN KEY(opening) REFERENCES opening (id)
);
INSERT INTO "summary" VALUES('op-1','job-1','Hill house','1 Invented Way','1','Study',' hill house 1 invented way study','new',3,'A','Look',0,3,0,0,0,0,0,'2026-11-29T02:39:36.347+00:00',1,'small@1');
INSERT INTO "summary" VALUES('op-2','job-1','Hill house','1 Invented Way','2','Study',' hill house 1 invented way 2 study','new',3,'A','Look',0,3,0,0,0,0,0,'2026-11-29T02:39:36.363+00:00',4,'small@1');
INSERT INTO "summary" VALUES('op-3','job-1','Hill house','1 Invented Way','3','Study',' hill house 1 invented way 3 study','new',3,'A','Look',0,3,0,0,0,0,0,'2026-11-29T02:39:36.373+00:00',6,'small@1');
CREATE TABLE tally (
	name VARCHAR NOT NULL, 
	count INTEGER NOT NULL, 
	PRIMARY KEY (name)
);
INSERT INTO "tally" VALUES('state:new',3);
INSERT INTO "tally" VALUES('outs',0);
INSERT INTO "tally" VALUES('queries',0);
INSERT INTO "tally" VALUES('parts',0);
INSERT INTO "tally" VALUES('not_ready',0);
INSERT INTO "tally" VALUES('waiting',0);
CREATE TABLE voice (
	id VARCHAR NOT NULL, 
	opening VARCHAR NOT NULL, 
	check_id VARCHAR NOT NULL, 
	panel VARCHAR NOT NULL, 
	number VARCHAR NOT NULL, 
	device VARCHAR NOT NULL, 
	day VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	at VARCHAR NOT NULL, 
	reason VARCHAR NOT NULL, 
	until VARCHAR NOT NULL, 
	answer VARCHAR NOT NULL, 
	PRIMARY KEY (id), 
	FOREIGN KEY(opening) REFERENCES opening (id), 
	FOREIGN KEY(device) REFERENCES device (id), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE TABLE withdrawn (
	opening VARCHAR NOT NULL, 
	person VARCHAR NOT NULL, 
	PRIMARY KEY (opening, person), 
	FOREIGN KEY(opening) REFERENCES opening (id), 
	FOREIGN KEY(person) REFERENCES person (id)
);
CREATE INDEX ix_session_person ON session (person);
CREATE INDEX ix_opening_job ON opening (job);
CREATE INDEX ix_assigned_person ON assigned (person);
CREATE TRIGGER event_no_delete BEFORE DELETE ON event  BEGIN SELECT RAISE(ABORT, 'event is append-only'); END;
CREATE TRIGGER event_no_insert BEFORE INSERT ON event WHEN EXISTS (SELECT 1 FROM event WHERE id = NEW.id OR (opening = NEW.opening AND device = NEW.device AND n = NEW.n)) BEGIN SELECT RAISE(ABORT, 'event is append-only'); END;
CREATE TRIGGER procedure_no_update BEFORE UPDATE ON procedure  BEGIN SELECT RAISE(ABORT, 'procedure is append-only'); END;
CREATE TRIGGER procedure_no_delete BEFORE DELETE ON procedure  BEGIN SELECT RAISE(ABORT, 'procedure is append-only'); END;
CREATE TRIGGER procedure_no_insert BEFORE INSERT ON procedure WHEN EXISTS (SELECT 1 FROM procedure WHERE id = NEW.id AND version = NEW.version) BEGIN SELECT RAISE(ABORT, 'procedure is append-only'); END;
CREATE UNIQUE INDEX ix_event_seq ON event (seq);
CREATE INDEX ix_event_opening_seq ON event (opening, seq);
CREATE TRIGGER event_no_update BEFORE UPDATE ON event  BEGIN SELECT RAISE(ABORT, 'event is append-only'); END;
CREATE INDEX ix_aside_id ON aside (id);
CREATE INDEX ix_aside_chain ON aside (opening, device, n);
CREATE INDEX ix_photo_of_sha256 ON photo_of (sha256);
CREATE INDEX ix_assigned_since ON assigned (since);
CREATE INDEX ix_device_person_since ON device_person (since);
CREATE TRIGGER assigned_numbered AFTER INSERT ON assigned  BEGIN UPDATE assigned SET since = (SELECT 1 + coalesce(max(given), 0) FROM (SELECT max(seq) AS given FROM event UNION ALL SELECT max(since) FROM assigned UNION ALL SELECT max(since) FROM device_person) AS every) WHERE opening = NEW.opening AND person = NEW.person; DELETE FROM withdrawn WHERE opening = NEW.opening AND person = NEW.person; END;
CREATE TRIGGER assigned_withdrawn AFTER DELETE ON assigned  BEGIN INSERT INTO withdrawn (opening, person) VALUES (OLD.opening, OLD.person) ON CONFLICT DO NOTHING; END;
CREATE INDEX ix_summary_job ON summary (job, letter, opening);
CREATE INDEX ix_summary_outs ON summary (place, heard, opening) WHERE outs > 0;
CREATE INDEX ix_summary_queries ON summary (place, heard, opening) WHERE queries > 0;
CREATE INDEX ix_summary_parts ON summary (place, heard, opening) WHERE parts > 0;
CREATE INDEX ix_summary_not_ready ON summary (place, heard, opening) WHERE not_ready > 0;
CREATE INDEX ix_summary_waiting ON summary (place, heard, opening) WHERE waiting > 0;
CREATE INDEX ix_open_item_opening ON open_item (opening);
CREATE INDEX ix_open_item_kind ON open_item (kind, at, id);
CREATE TRIGGER summary_counted_insert AFTER INSERT ON summary  BEGIN INSERT INTO tally (name, count) VALUES ('state:' || NEW.state, 1) ON CONFLICT (name) DO UPDATE SET count = tally.count + 1; INSERT INTO tally (name, count) VALUES ('outs', CASE WHEN NEW.outs > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.outs > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('queries', CASE WHEN NEW.queries > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.queries > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('parts', CASE WHEN NEW.parts > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.parts > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('not_ready', CASE WHEN NEW.not_ready > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.not_ready > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('waiting', CASE WHEN NEW.waiting > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.waiting > 0 THEN 1 ELSE 0 END; END;
CREATE TRIGGER summary_counted_delete AFTER DELETE ON summary  BEGIN INSERT INTO tally (name, count) VALUES ('state:' || OLD.state, -1) ON CONFLICT (name) DO UPDATE SET count = tally.count + -1; INSERT INTO tally (name, count) VALUES ('outs', CASE WHEN OLD.outs > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.outs > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('queries', CASE WHEN OLD.queries > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.queries > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('parts', CASE WHEN OLD.parts > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.parts > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('not_ready', CASE WHEN OLD.not_ready > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.not_ready > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('waiting', CASE WHEN OLD.waiting > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.waiting > 0 THEN -1 ELSE 0 END; END;
CREATE TRIGGER summary_counted_update AFTER UPDATE ON summary  BEGIN INSERT INTO tally (name, count) VALUES ('state:' || OLD.state, -1) ON CONFLICT (name) DO UPDATE SET count = tally.count + -1; INSERT INTO tally (name, count) VALUES ('outs', CASE WHEN OLD.outs > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.outs > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('queries', CASE WHEN OLD.queries > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.queries > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('parts', CASE WHEN OLD.parts > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.parts > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('not_ready', CASE WHEN OLD.not_ready > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.not_ready > 0 THEN -1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('waiting', CASE WHEN OLD.waiting > 0 THEN -1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN OLD.waiting > 0 THEN -1 ELSE 0 END;INSERT INTO tally (name, count) VALUES ('state:' || NEW.state, 1) ON CONFLICT (name) DO UPDATE SET count = tally.count + 1; INSERT INTO tally (name, count) VALUES ('outs', CASE WHEN NEW.outs > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.outs > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('queries', CASE WHEN NEW.queries > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.queries > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('parts', CASE WHEN NEW.parts > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.parts > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('not_ready', CASE WHEN NEW.not_ready > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.not_ready > 0 THEN 1 ELSE 0 END; INSERT INTO tally (name, count) VALUES ('waiting', CASE WHEN NEW.waiting > 0 THEN 1 ELSE 0 END) ON CONFLICT (name) DO UPDATE SET count = tally.count + CASE WHEN NEW.waiting > 0 THEN 1 ELSE 0 END; END;
CREATE INDEX ix_issued_code ON issued (code);
CREATE TRIGGER issued_no_update BEFORE UPDATE ON issued  BEGIN SELECT RAISE(ABORT, 'issued is append-only'); END;
CREATE TRIGGER issued_no_delete BEFORE DELETE ON issued  BEGIN SELECT RAISE(ABORT, 'issued is append-only'); END;
CREATE TRIGGER issued_no_insert BEFORE INSERT ON issued WHEN EXISTS (SELECT 1 FROM issued WHERE opening = NEW.opening AND revision = NEW.revision) BEGIN SELECT RAISE(ABORT, 'issued is append-only'); END;
CREATE INDEX ix_link_opening ON link (opening);
CREATE INDEX ix_invitation_person ON invitation (person);
CREATE INDEX ix_instrument_check_order ON instrument_check (instrument, sorted_at, occasion);
CREATE INDEX ix_instrument_check_entry_occasion ON instrument_check_entry (occasion);
CREATE INDEX ix_summary_procedure ON summary (procedure, opening);
CREATE INDEX ix_voice_opening ON voice (opening);
CREATE INDEX ix_summary_urgent ON summary (place, heard, opening, words);
CREATE INDEX ix_summary_heard ON summary (heard, opening, words);
CREATE INDEX ix_summary_title ON summary (title, letter, opening, words);
CREATE INDEX ix_event_late ON event (seq) WHERE flag <> '';
CREATE TRIGGER company_key_no_update BEFORE UPDATE ON company_key  BEGIN SELECT RAISE(ABORT, 'company_key is append-only'); END;
CREATE TRIGGER company_key_no_delete BEFORE DELETE ON company_key  BEGIN SELECT RAISE(ABORT, 'company_key is append-only'); END;
CREATE TRIGGER company_key_no_insert BEFORE INSERT ON company_key WHEN EXISTS (SELECT 1 FROM company_key WHERE n = NEW.n OR fingerprint = NEW.fingerprint) BEGIN SELECT RAISE(ABORT, 'company_key is append-only'); END;
COMMIT;
