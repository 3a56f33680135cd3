-- Version 4 of a book. Once released this file is never edited: add 0005 instead.
--
-- The office: opinions that say how sure they are, whether they were given blind, and on what
-- evidence; specimens kept, plants to come back to, plants drawn to be examined again.
-- Opinions of earlier versions keep every value; they were not blind and bring no evidence.
--
-- Why `record` is made anew, and how, stands in 0002.

DROP VIEW current_tally;
DROP VIEW current_determination;
DROP VIEW place;
DROP VIEW current_version;
DROP VIEW current_record;

CREATE TABLE record_4 (
    id          TEXT PRIMARY KEY CHECK (length(id) = 36 AND id = lower(id)),
    kind        TEXT NOT NULL CHECK (kind IN ('site', 'planting', 'seed_lot', 'event', 'outline',
                    'plan', 'standard', 'plot', 'visit', 'point', 'unknown', 'frame',
                    'determination', 'opinion', 'voucher', 'come_back', 'audit', 'photo')),
    born_at     TEXT NOT NULL CHECK (born_at LIKE '____-__-__T__:__:__.___Z'),
    received_at TEXT NOT NULL CHECK (received_at LIKE '____-__-__T__:__:__.___Z'),
    device      TEXT NOT NULL CHECK (length(device) BETWEEN 1 AND 120),
    author      TEXT NOT NULL CHECK (length(author) BETWEEN 1 AND 120),
    supersedes  TEXT REFERENCES record(id) CHECK (supersedes <> id),
    -- The first record of the chain of corrections; its own id for a record that corrects none.
    root        TEXT NOT NULL REFERENCES record(id) CHECK ((supersedes IS NULL) = (root = id))
) STRICT, WITHOUT ROWID;
INSERT INTO record_4 (id, kind, born_at, received_at, device, author, supersedes, root)
SELECT id, kind, born_at, received_at, device, author, supersedes, root FROM record;
DROP TABLE record;
ALTER TABLE record_4 RENAME TO record;
CREATE INDEX record_by_root ON record(root);
CREATE INDEX record_by_supersedes ON record(supersedes) WHERE supersedes IS NOT NULL;

-- `cf`: it looks like the taxon and was not sure; `aff`: near the taxon, but not it.
ALTER TABLE opinion ADD COLUMN qualifier TEXT CHECK (qualifier IN ('cf', 'aff'))
    CHECK (qualifier IS NULL OR taxon IS NOT NULL);
-- Sure of the genus only.
ALTER TABLE opinion ADD COLUMN genus TEXT CHECK (length(genus) BETWEEN 1 AND 80)
    CHECK (genus IS NULL OR taxon IS NULL);
-- 1: given before the first answer was shown.
ALTER TABLE opinion ADD COLUMN blind INTEGER NOT NULL DEFAULT 0 CHECK (blind IN (0, 1));

-- What the reviewer saw; no row: nothing was walked. Columns as those of `determination`.
CREATE TABLE opinion_evidence (
    opinion           TEXT PRIMARY KEY REFERENCES opinion(id) DEFERRABLE INITIALLY DEFERRED,
    key_id            TEXT NOT NULL,
    table_fingerprint TEXT NOT NULL,
    leaf_stage        TEXT NOT NULL,
    tools             TEXT NOT NULL CHECK (json_type(tools) = 'array'), -- sorted ids
    prior             TEXT NOT NULL CHECK (prior IN ('even')),
    outcome           TEXT NOT NULL
) STRICT, WITHOUT ROWID;

-- As `answer`, `answer_state` and `ranking`.
CREATE TABLE opinion_answer (
    opinion TEXT NOT NULL REFERENCES opinion(id) DEFERRABLE INITIALLY DEFERRED,
    ord     INTEGER NOT NULL CHECK (ord >= 1),
    trait   TEXT NOT NULL CHECK (length(trait) BETWEEN 1 AND 80),
    kind    TEXT NOT NULL CHECK (kind IN ('states', 'measure', 'cannot_tell')),
    measure REAL,
    PRIMARY KEY (opinion, ord),
    CHECK ((kind = 'measure') = (measure IS NOT NULL))
) STRICT, WITHOUT ROWID;

CREATE TABLE opinion_answer_state (
    opinion TEXT NOT NULL,
    answer  INTEGER NOT NULL, -- ord of the answer
    ord     INTEGER NOT NULL CHECK (ord >= 1),
    state   TEXT NOT NULL CHECK (length(state) BETWEEN 1 AND 80),
    PRIMARY KEY (opinion, answer, ord),
    FOREIGN KEY (opinion, answer) REFERENCES opinion_answer(opinion, ord) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;

CREATE TABLE opinion_ranking (
    opinion     TEXT NOT NULL REFERENCES opinion(id) DEFERRABLE INITIALLY DEFERRED,
    ord         INTEGER NOT NULL CHECK (ord >= 1), -- 1 is the best
    taxon       TEXT NOT NULL CHECK (length(taxon) BETWEEN 1 AND 80),
    probability REAL NOT NULL CHECK (probability BETWEEN 0 AND 1),
    PRIMARY KEY (opinion, ord)
) STRICT, WITHOUT ROWID;

-- A plant that was kept. Collector and number together are what herbaria call it by.
CREATE TABLE voucher (
    id           TEXT PRIMARY KEY REFERENCES record(id),
    about        TEXT NOT NULL REFERENCES record(id), -- a determination or an unknown
    collector    TEXT NOT NULL CHECK (length(collector) BETWEEN 1 AND 120),
    number       TEXT NOT NULL CHECK (length(number) BETWEEN 1 AND 120),
    collected_on TEXT NOT NULL CHECK (collected_on IS date(collected_on)),
    preparation  TEXT NOT NULL CHECK (preparation IN ('pressed', 'dried', 'living', 'in_spirit')),
    parts        TEXT NOT NULL CHECK (length(parts) <= 2000),
    kept_at      TEXT NOT NULL CHECK (length(kept_at) <= 120), -- where it is now; empty: not said
    habitat      TEXT NOT NULL CHECK (length(habitat) <= 2000),
    associates   TEXT NOT NULL CHECK (length(associates) <= 2000),
    habit        TEXT NOT NULL CHECK (length(habit) <= 2000), -- how it held itself
    abundance    TEXT NOT NULL CHECK (length(abundance) <= 2000),
    fading       TEXT NOT NULL CHECK (length(fading) <= 2000) -- what is lost on drying
) STRICT, WITHOUT ROWID;
CREATE INDEX voucher_by_about ON voucher(about);

-- A plant to look at again where it stands. Done once `seen_on` is set.
CREATE TABLE come_back (
    id            TEXT PRIMARY KEY REFERENCES record(id),
    about         TEXT NOT NULL REFERENCES record(id), -- a determination or an unknown
    due_on        TEXT NOT NULL CHECK (due_on IS date(due_on)),
    reason        TEXT NOT NULL CHECK (reason IN ('heading', 'green_up', 'other')),
    pin           TEXT NOT NULL CHECK (length(pin) <= 2000), -- how it is marked on the ground
    latitude      REAL CHECK (latitude BETWEEN -90 AND 90), -- null: where its point is
    longitude     REAL CHECK (longitude BETWEEN -180 AND 180),
    uncertainty_m REAL CHECK (uncertainty_m > 0),
    seen_on       TEXT CHECK (seen_on IS date(seen_on)),
    found         TEXT NOT NULL CHECK (length(found) <= 2000),
    CHECK ((latitude IS NULL) = (longitude IS NULL)),
    CHECK (uncertainty_m IS NULL OR latitude IS NOT NULL)
) STRICT, WITHOUT ROWID;
CREATE INDEX come_back_by_about ON come_back(about);

-- Plants of a visit drawn at random to be examined again, before anybody did.
CREATE TABLE audit (
    id        TEXT PRIMARY KEY REFERENCES record(id),
    visit     TEXT NOT NULL REFERENCES visit(id),
    share     REAL NOT NULL CHECK (share > 0 AND share <= 1), -- of the plants, at least
    draw_seed INTEGER NOT NULL CHECK (draw_seed BETWEEN 0 AND 4294967295),
    plants    INTEGER NOT NULL CHECK (plants >= 1) -- determinations it was drawn from
) STRICT, WITHOUT ROWID;
CREATE INDEX audit_by_visit ON audit(visit);

CREATE TABLE audit_plant (
    audit         TEXT NOT NULL REFERENCES audit(id) DEFERRABLE INITIALLY DEFERRED,
    ord           INTEGER NOT NULL CHECK (ord >= 1),
    determination TEXT NOT NULL REFERENCES determination(id),
    PRIMARY KEY (audit, ord),
    UNIQUE (audit, determination)
) STRICT, WITHOUT ROWID;

-- Append-only, as in version 1: the triggers that went with the old table, and those of the new ones.
CREATE TRIGGER record_no_update BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER record_no_delete BEFORE DELETE ON record
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER voucher_no_update BEFORE UPDATE ON voucher
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER voucher_no_delete BEFORE DELETE ON voucher
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER come_back_no_update BEFORE UPDATE ON come_back
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER come_back_no_delete BEFORE DELETE ON come_back
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER audit_no_update BEFORE UPDATE ON audit
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER audit_no_delete BEFORE DELETE ON audit
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER opinion_evidence_no_update BEFORE UPDATE ON opinion_evidence
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER opinion_evidence_no_delete BEFORE DELETE ON opinion_evidence
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER opinion_answer_no_update BEFORE UPDATE ON opinion_answer
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER opinion_answer_no_delete BEFORE DELETE ON opinion_answer
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER opinion_answer_state_no_update BEFORE UPDATE ON opinion_answer_state
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER opinion_answer_state_no_delete BEFORE DELETE ON opinion_answer_state
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER opinion_ranking_no_update BEFORE UPDATE ON opinion_ranking
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER opinion_ranking_no_delete BEFORE DELETE ON opinion_ranking
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER audit_plant_no_update BEFORE UPDATE ON audit_plant
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER audit_plant_no_delete BEFORE DELETE ON audit_plant
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER record_no_replace BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER voucher_no_replace BEFORE INSERT ON voucher
WHEN EXISTS (SELECT 1 FROM voucher WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER come_back_no_replace BEFORE INSERT ON come_back
WHEN EXISTS (SELECT 1 FROM come_back WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER audit_no_replace BEFORE INSERT ON audit
WHEN EXISTS (SELECT 1 FROM audit WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER opinion_evidence_no_growth BEFORE INSERT ON opinion_evidence
WHEN EXISTS (SELECT 1 FROM opinion WHERE id = NEW.opinion)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER opinion_answer_no_growth BEFORE INSERT ON opinion_answer
WHEN EXISTS (SELECT 1 FROM opinion WHERE id = NEW.opinion)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER opinion_answer_state_no_growth BEFORE INSERT ON opinion_answer_state
WHEN EXISTS (SELECT 1 FROM opinion WHERE id = NEW.opinion)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER opinion_ranking_no_growth BEFORE INSERT ON opinion_ranking
WHEN EXISTS (SELECT 1 FROM opinion WHERE id = NEW.opinion)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER audit_plant_no_growth BEFORE INSERT ON audit_plant
WHEN EXISTS (SELECT 1 FROM audit WHERE id = NEW.audit)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;

-- The views of version 2; their rules stand in 1. New are the qualifier and the genus of an opinion.
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
