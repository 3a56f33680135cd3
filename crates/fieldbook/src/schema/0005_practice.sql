-- Version 5 of a book. Once released this file is never edited: add 0006 instead.
--
-- Practice: what scouts answered in drills and tests, the sets that trainers make, the rule by which a
-- scout's counts need no second reader, and the removal of somebody's practice.
-- Practice is the one thing that can be removed, by a record that stays: everything else is only added to.
--
-- Why `record` is made anew, and how, stands in 0002.

DROP VIEW current_tally;
DROP VIEW current_determination;
DROP VIEW place;
DROP VIEW current_version;
DROP VIEW current_record;

CREATE TABLE record_5 (
    id          TEXT PRIMARY KEY CHECK (length(id) = 36 AND id = lower(id)),
    kind        TEXT NOT NULL CHECK (kind IN ('site', 'planting', 'seed_lot', 'event', 'outline',
                    'plan', 'standard', 'plot', 'visit', 'point', 'unknown', 'frame',
                    'determination', 'opinion', 'voucher', 'come_back', 'audit', 'practice_set',
                    'practice', 'scout_rule', 'practice_removal', 'photo')),
    born_at     TEXT NOT NULL CHECK (born_at LIKE '____-__-__T__:__:__.___Z'),
    received_at TEXT NOT NULL CHECK (received_at LIKE '____-__-__T__:__:__.___Z'),
    device      TEXT NOT NULL CHECK (length(device) BETWEEN 1 AND 120),
    author      TEXT NOT NULL CHECK (length(author) BETWEEN 1 AND 120),
    supersedes  TEXT REFERENCES record(id) CHECK (supersedes <> id),
    -- The first record of the chain of corrections; its own id for a record that corrects none.
    root        TEXT NOT NULL REFERENCES record(id) CHECK ((supersedes IS NULL) = (root = id))
) STRICT, WITHOUT ROWID;
INSERT INTO record_5 (id, kind, born_at, received_at, device, author, supersedes, root)
SELECT id, kind, born_at, received_at, device, author, supersedes, root FROM record;
DROP TABLE record;
ALTER TABLE record_5 RENAME TO record;
CREATE INDEX record_by_root ON record(root);
CREATE INDEX record_by_supersedes ON record(supersedes) WHERE supersedes IS NOT NULL;

-- What a trainer puts together: a drill, a test, or frames that a whole crew counts.
CREATE TABLE practice_set (
    id       TEXT PRIMARY KEY REFERENCES record(id),
    title    TEXT NOT NULL CHECK (length(title) BETWEEN 1 AND 120),
    purpose  TEXT NOT NULL CHECK (purpose IN ('drill', 'field_test', 'same_frames')),
    planting TEXT REFERENCES planting(id),
    visit    TEXT REFERENCES visit(id),
    minutes  REAL CHECK (minutes > 0) -- time allowed; null: not timed
) STRICT, WITHOUT ROWID;
CREATE INDEX practice_set_by_planting ON practice_set(planting) WHERE planting IS NOT NULL;
CREATE INDEX practice_set_by_visit ON practice_set(visit) WHERE visit IS NOT NULL;

CREATE TABLE practice_set_question (
    practice_set TEXT NOT NULL REFERENCES practice_set(id) DEFERRABLE INITIALLY DEFERRED,
    ord          INTEGER NOT NULL CHECK (ord >= 1),
    question     TEXT NOT NULL CHECK (length(question) BETWEEN 1 AND 2000),
    with_book    INTEGER NOT NULL CHECK (with_book IN (0, 1)),
    PRIMARY KEY (practice_set, ord)
) STRICT, WITHOUT ROWID;

-- One thing answered in practice.
CREATE TABLE practice (
    id                TEXT PRIMARY KEY REFERENCES record(id),
    scout             TEXT NOT NULL CHECK (length(scout) BETWEEN 1 AND 120),
    whose             TEXT NOT NULL CHECK (length(whose) = 64), -- sha-256 of the name, lower case, as in practice_removal
    drill             TEXT NOT NULL CHECK (drill IN ('see_trait', 'tell_pair', 'name_it', 'count_frame')),
    question          TEXT NOT NULL CHECK (length(question) BETWEEN 1 AND 2000), -- draws it again
    with_book         INTEGER NOT NULL CHECK (with_book IN (0, 1)),
    key_id            TEXT NOT NULL,
    table_fingerprint TEXT NOT NULL,
    taxon             TEXT CHECK (length(taxon) BETWEEN 1 AND 80),   -- what the plant is; null: a frame
    against           TEXT CHECK (length(against) BETWEEN 1 AND 80), -- the other one of a pair
    named             TEXT CHECK (length(named) BETWEEN 1 AND 80),   -- null: could not tell
    by                TEXT CHECK (length(by) BETWEEN 1 AND 80),      -- trait named as deciding
    seconds           REAL CHECK (seconds >= 0), -- null: not known
    practice_set      TEXT REFERENCES practice_set(id),
    item              INTEGER CHECK (item >= 1),
    CHECK ((practice_set IS NULL) = (item IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX practice_by_whose ON practice(whose);
CREATE INDEX practice_by_set ON practice(practice_set) WHERE practice_set IS NOT NULL;

-- Traits that were looked at.
CREATE TABLE practice_reading (
    practice TEXT NOT NULL REFERENCES practice(id) DEFERRABLE INITIALLY DEFERRED,
    ord      INTEGER NOT NULL CHECK (ord >= 1),
    trait    TEXT NOT NULL CHECK (length(trait) BETWEEN 1 AND 80),
    shown    TEXT NOT NULL CHECK (length(shown) BETWEEN 1 AND 80), -- state
    reported TEXT CHECK (length(reported) BETWEEN 1 AND 80),       -- state; null: could not tell
    PRIMARY KEY (practice, ord)
) STRICT, WITHOUT ROWID;

-- Cells of a drawn frame in which something stood, or was marked.
CREATE TABLE practice_cell (
    practice       TEXT NOT NULL REFERENCES practice(id) DEFERRABLE INITIALLY DEFERRED,
    cell           INTEGER NOT NULL CHECK (cell BETWEEN 1 AND 25),
    planted        INTEGER NOT NULL CHECK (planted IN (0, 1)),        -- a planted grass stood there
    other          INTEGER NOT NULL CHECK (other IN (0, 1)),          -- something else did
    marked_planted INTEGER NOT NULL CHECK (marked_planted IN (0, 1)), -- the scout said so
    marked_other   INTEGER NOT NULL CHECK (marked_other IN (0, 1)),
    PRIMARY KEY (practice, cell),
    CHECK (planted + other + marked_planted + marked_other > 0)
) STRICT, WITHOUT ROWID;

-- When a scout's counts of a planting are taken without a second reader.
CREATE TABLE scout_rule (
    id        TEXT PRIMARY KEY REFERENCES record(id),
    planting  TEXT NOT NULL REFERENCES planting(id),
    at_least  REAL NOT NULL CHECK (at_least > 0 AND at_least < 1), -- hit rate, planted or not
    sure      REAL NOT NULL CHECK (sure > 0 AND sure < 1),         -- probability that it is reached
    with_book INTEGER NOT NULL CHECK (with_book IN (0, 1)),        -- answers with the book open count too
    own_rates INTEGER NOT NULL CHECK (own_rates IN (0, 1)),        -- counts also shown corrected by practice
    withdrawn INTEGER NOT NULL CHECK (withdrawn IN (0, 1))         -- 1: nothing is required any more
) STRICT, WITHOUT ROWID;
CREATE INDEX scout_rule_by_planting ON scout_rule(planting);

-- Somebody's practice up to an instant is to go, from this book and from every book that this record
-- comes into.
CREATE TABLE practice_removal (
    id    TEXT PRIMARY KEY REFERENCES record(id),
    whose TEXT NOT NULL CHECK (length(whose) = 64),
    until TEXT NOT NULL CHECK (until LIKE '____-__-__T__:__:__.___Z') -- compared with born_at
) STRICT, WITHOUT ROWID;
CREATE INDEX practice_removal_by_whose ON practice_removal(whose);

-- Practice of the same person that a wrong clock dates later.
CREATE TABLE practice_removal_also (
    practice_removal TEXT NOT NULL REFERENCES practice_removal(id) DEFERRABLE INITIALLY DEFERRED,
    ord              INTEGER NOT NULL CHECK (ord >= 1),
    practice         TEXT NOT NULL CHECK (length(practice) = 36), -- gone, so it refers to nothing
    PRIMARY KEY (practice_removal, ord)
) STRICT, WITHOUT ROWID;
CREATE INDEX practice_removal_also_by_practice ON practice_removal_also(practice);

-- What may go.
CREATE VIEW removed_practice AS
SELECT p.id AS id
FROM practice p JOIN record r ON r.id = p.id
WHERE EXISTS (SELECT 1 FROM practice_removal x WHERE x.whose = p.whose AND r.born_at <= x.until)
   OR EXISTS (SELECT 1 FROM practice_removal_also a JOIN practice_removal x ON x.id = a.practice_removal
              WHERE a.practice = p.id AND x.whose = p.whose);

-- Append-only, as in version 1. A record of practice can go when a removal covers it; its rows in
-- other tables, once the record has gone.
CREATE TRIGGER record_no_update BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER record_no_delete BEFORE DELETE ON record
WHEN NOT EXISTS (SELECT 1 FROM removed_practice g WHERE g.id = OLD.id)
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER record_no_replace BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER practice_set_no_update BEFORE UPDATE ON practice_set
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER practice_set_no_delete BEFORE DELETE ON practice_set
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER practice_set_no_replace BEFORE INSERT ON practice_set
WHEN EXISTS (SELECT 1 FROM practice_set WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER practice_no_update BEFORE UPDATE ON practice
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER practice_no_delete BEFORE DELETE ON practice
WHEN EXISTS (SELECT 1 FROM record WHERE id = OLD.id)
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER practice_no_replace BEFORE INSERT ON practice
WHEN EXISTS (SELECT 1 FROM practice WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER scout_rule_no_update BEFORE UPDATE ON scout_rule
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER scout_rule_no_delete BEFORE DELETE ON scout_rule
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER scout_rule_no_replace BEFORE INSERT ON scout_rule
WHEN EXISTS (SELECT 1 FROM scout_rule WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER practice_removal_no_update BEFORE UPDATE ON practice_removal
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER practice_removal_no_delete BEFORE DELETE ON practice_removal
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER practice_removal_no_replace BEFORE INSERT ON practice_removal
WHEN EXISTS (SELECT 1 FROM practice_removal WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER practice_set_question_no_update BEFORE UPDATE ON practice_set_question
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER practice_set_question_no_delete BEFORE DELETE ON practice_set_question
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER practice_set_question_no_growth BEFORE INSERT ON practice_set_question
WHEN EXISTS (SELECT 1 FROM practice_set WHERE id = NEW.practice_set)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER practice_reading_no_update BEFORE UPDATE ON practice_reading
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER practice_reading_no_delete BEFORE DELETE ON practice_reading
WHEN EXISTS (SELECT 1 FROM record WHERE id = OLD.practice)
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER practice_reading_no_growth BEFORE INSERT ON practice_reading
WHEN EXISTS (SELECT 1 FROM practice WHERE id = NEW.practice)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER practice_cell_no_update BEFORE UPDATE ON practice_cell
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER practice_cell_no_delete BEFORE DELETE ON practice_cell
WHEN EXISTS (SELECT 1 FROM record WHERE id = OLD.practice)
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER practice_cell_no_growth BEFORE INSERT ON practice_cell
WHEN EXISTS (SELECT 1 FROM practice WHERE id = NEW.practice)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER practice_removal_also_no_update BEFORE UPDATE ON practice_removal_also
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER practice_removal_also_no_delete BEFORE DELETE ON practice_removal_also
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER practice_removal_also_no_growth BEFORE INSERT ON practice_removal_also
WHEN EXISTS (SELECT 1 FROM practice_removal WHERE id = NEW.practice_removal)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;

-- The views of version 4, as they were; their rules stand in 1.
CREATE VIEW current_record AS
SELECT r.id, r.kind, r.born_at, r.received_at, r.device, r.author, r.supersedes, r.root
FROM record r
WHERE NOT EXISTS (SELECT 1 FROM record s WHERE s.supersedes = r.id)
  AND NOT EXISTS (
    SELECT 1 FROM record o
    WHERE o.root = r.root AND (o.born_at, o.id) > (r.born_at, r.id)
      AND NOT EXISTS (SELECT 1 FROM record s WHERE s.supersedes = o.id));

CREATE VIEW current_version AS
SELECT r.id AS id, r.root AS root, c.id AS current_id
FROM record r JOIN current_record c ON c.root = r.root;

CREATE VIEW place AS
SELECT pv.id AS point, pv.root AS point_root, s.name AS site, pl.name AS planting, t.name AS plot,
       v.visited_on, p.label AS point_label, p.latitude, p.longitude, p.uncertainty_m,
       p.plan, p.planned_number, p.unreachable
FROM current_version pv
JOIN point p             ON p.id = pv.current_id
JOIN current_version tv  ON tv.id = p.plot
JOIN plot t              ON t.id = tv.current_id
JOIN current_version vv  ON vv.id = p.visit
JOIN visit v             ON v.id = vv.current_id
JOIN current_version plv ON plv.id = t.planting
JOIN planting pl         ON pl.id = plv.current_id
JOIN current_version sv  ON sv.id = pl.site
JOIN site s              ON s.id = sv.current_id;

CREATE VIEW current_determination AS
SELECT c.id, w.site, w.planting, w.plot, w.visited_on, w.point_label, d.cell,
       u.number AS unknown_number, d.taxon, d.outcome,
       k.taxon AS top_taxon, k.probability AS top_probability,
       o.taxon AS opinion_taxon, o.qualifier AS opinion_qualifier, o.genus AS opinion_genus,
       o.name_as_written AS opinion_name,
       oc.author AS opinion_author, oc.born_at AS opinion_born_at,
       d.note, c.author, c.device, c.born_at, c.received_at
FROM current_record c
JOIN determination d ON d.id = c.id
JOIN place w ON w.point = d.point
LEFT JOIN current_version uv ON uv.id = d.unknown
LEFT JOIN unknown u ON u.id = uv.current_id
LEFT JOIN ranking k ON k.determination = d.id AND k.ord = 1
LEFT JOIN current_record oc ON oc.id = (
    SELECT x.id FROM opinion y JOIN current_record x ON x.id = y.id
    WHERE y.about IN (SELECT a.id FROM record a WHERE a.root = c.root)
    ORDER BY x.born_at DESC, x.id DESC LIMIT 1)
LEFT JOIN opinion o ON o.id = oc.id;

-- A frame with `repeats` set is a second reading of a frame that is here as well: do not add the two.
CREATE VIEW current_tally AS
SELECT c.id AS frame, w.site, w.planting, w.plot, w.visited_on, w.point_label,
       f.number AS frame_number, f.scout, f.shape, f.cells, f.cell_side_cm, f.area_m2,
       f.row_length_m, f.row_spacing_cm, f.looked_twice, f.repeats, t.ord, t.cell, t.plants, t.taxon, u.number AS unknown_number
FROM current_record c
JOIN frame f ON f.id = c.id
JOIN place w ON w.point = f.point
LEFT JOIN tally t ON t.frame = f.id
LEFT JOIN current_version uv ON uv.id = t.unknown
LEFT JOIN unknown u ON u.id = uv.current_id;
