BEGIN TRANSACTION;
CREATE TABLE cards (
    learner INTEGER NOT NULL REFERENCES learners, skill INTEGER NOT NULL REFERENCES skills,
    day INTEGER NOT NULL, stability REAL NOT NULL, difficulty REAL NOT NULL, due INTEGER NOT NULL,
    before_day INTEGER, before_stability REAL, before_difficulty REAL, before_due INTEGER,
    PRIMARY KEY (learner, skill)) WITHOUT ROWID;
INSERT INTO "cards" VALUES(1,1,739677,8.2956,1.0,739685,NULL,NULL,NULL,NULL);
CREATE TABLE days (
    learner INTEGER NOT NULL REFERENCES learners, day INTEGER NOT NULL, takes INTEGER NOT NULL,
    PRIMARY KEY (learner, day)) WITHOUT ROWID;
INSERT INTO "days" VALUES(1,739677,1);
CREATE TABLE known_files (hash BLOB PRIMARY KEY) WITHOUT ROWID;
CREATE TABLE learners (id INTEGER PRIMARY KEY, name TEXT NOT NULL UNIQUE);
INSERT INTO "learners" VALUES(1,'Ann');
CREATE TABLE skill_days (
    learner INTEGER NOT NULL REFERENCES learners, skill INTEGER NOT NULL REFERENCES skills, day INTEGER NOT NULL,
    asked INTEGER NOT NULL, clean INTEGER NOT NULL, uneven INTEGER NOT NULL, first_asked INTEGER NOT NULL,
    first_clean INTEGER NOT NULL, PRIMARY KEY (learner, skill, day)) WITHOUT ROWID;
INSERT INTO "skill_days" VALUES(1,1,739677,8,8,0,8,8);
CREATE TABLE skill_months (
    learner INTEGER NOT NULL REFERENCES learners, skill INTEGER NOT NULL REFERENCES skills, day INTEGER NOT NULL,
    asked INTEGER NOT NULL, clean INTEGER NOT NULL, uneven INTEGER NOT NULL, PRIMARY KEY (learner, skill, day))
    WITHOUT ROWID;
INSERT INTO "skill_months" VALUES(1,1,739676,8,8,0);
CREATE TABLE skills (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, key TEXT NOT NULL, UNIQUE (kind, key));
INSERT INTO "skills" VALUES(1,'embellishment','GdGe>A');
CREATE TABLE steps (
    learner INTEGER NOT NULL REFERENCES learners, content TEXT NOT NULL, kind TEXT NOT NULL, first_bar INTEGER NOT NULL,
    last_bar INTEGER NOT NULL, skill INTEGER NOT NULL, done TEXT NOT NULL,
    PRIMARY KEY (learner, content, kind, first_bar, last_bar, skill)) WITHOUT ROWID;
CREATE TABLE take_details (take INTEGER PRIMARY KEY REFERENCES takes, skills TEXT NOT NULL, findings TEXT NOT NULL);
INSERT INTO "take_details" VALUES(1,'[["embellishment", "GdGe>A", 8, 8, 0]]','[["crossing", 3, 17, 31.5]]');
CREATE TABLE takes (
    id INTEGER PRIMARY KEY, learner INTEGER NOT NULL REFERENCES learners, file TEXT NOT NULL, began TEXT NOT NULL,
    day INTEGER NOT NULL, tune INTEGER REFERENCES tunes, tempo REAL, notes_right INTEGER NOT NULL,
    notes INTEGER NOT NULL, gracenotes_right INTEGER NOT NULL, gracenotes INTEGER NOT NULL,
    movements_right INTEGER NOT NULL, movements INTEGER NOT NULL, UNIQUE (learner, began, file));
INSERT INTO "takes" VALUES(1,1,'','2026-03-02T19:30:00+01:00',739677,1,60.0,100,100,40,50,90,99);
CREATE TABLE tune_days (
    learner INTEGER NOT NULL REFERENCES learners, tune INTEGER NOT NULL REFERENCES tunes, day INTEGER NOT NULL,
    takes INTEGER NOT NULL, tempo REAL, PRIMARY KEY (learner, tune, day)) WITHOUT ROWID;
INSERT INTO "tune_days" VALUES(1,1,739677,1,60.0);
CREATE TABLE tunes (
    id INTEGER PRIMARY KEY, learner INTEGER NOT NULL REFERENCES learners, content TEXT NOT NULL, title TEXT NOT NULL,
    file TEXT NOT NULL, reference TEXT NOT NULL, UNIQUE (learner, content));
INSERT INTO "tunes" VALUES(1,1,'0000000000000000000000000000000000000000000000000000000000000000','A Tune Of Somebody''s','a.abc','1');
CREATE TABLE steps_aside (
    learner INTEGER NOT NULL REFERENCES learners, content TEXT NOT NULL, kind TEXT NOT NULL, first_bar INTEGER NOT NULL,
    last_bar INTEGER NOT NULL, skill INTEGER NOT NULL, times INTEGER NOT NULL,
    PRIMARY KEY (learner, content, kind, first_bar, last_bar, skill)) WITHOUT ROWID;
INSERT INTO "steps_aside" VALUES(1,'0000000000000000000000000000000000000000000000000000000000000000','phrase',1,2,0,1);
COMMIT;
PRAGMA user_version = 2;
