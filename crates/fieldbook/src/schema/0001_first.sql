-- Version 1 of a book. Once released this file is never edited: add 0002 instead.
--
-- One envelope table, `record`; one table a kind of record, under the same id; and
-- tables for the parts of a record (`planting_mix`, `visit_scout`, `tally`, ...),
-- numbered from 1 in `ord`, in the order entered.
--
-- Ids: UUID, 36 lower-case characters. Instants: UTC, `2026-07-14T15:04:05.123Z`.
-- Dates: ISO 8601. Units end the name: _m, _cm, _m2, _lb_per_acre; degrees are WGS 84.
-- A reference names the version of the other record that was current at the time.

CREATE TABLE record (
    id          TEXT PRIMARY KEY CHECK (length(id) = 36 AND id = lower(id)),
    kind        TEXT NOT NULL CHECK (kind IN ('site', 'planting', 'plot', 'visit', 'point',
                    'unknown', 'frame', 'determination', 'opinion', 'photo')),
    born_at     TEXT NOT NULL CHECK (born_at LIKE '____-__-__T__:__:__.___Z'),
    received_at TEXT NOT NULL CHECK (received_at LIKE '____-__-__T__:__:__.___Z'),
    device      TEXT NOT NULL CHECK (length(device) BETWEEN 1 AND 120),
    author      TEXT NOT NULL CHECK (length(author) BETWEEN 1 AND 120),
    supersedes  TEXT REFERENCES record(id) CHECK (supersedes <> id),
    -- The first record of the chain of corrections; its own id for a record that corrects none.
    root        TEXT NOT NULL REFERENCES record(id) CHECK ((supersedes IS NULL) = (root = id))
) STRICT, WITHOUT ROWID;
CREATE INDEX record_by_root ON record(root);
CREATE INDEX record_by_supersedes ON record(supersedes) WHERE supersedes IS NOT NULL;

CREATE TABLE site (
    id         TEXT PRIMARY KEY REFERENCES record(id),
    name       TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    locality   TEXT NOT NULL CHECK (length(locality) <= 2000),
    permission TEXT NOT NULL CHECK (length(permission) <= 2000)
) STRICT, WITHOUT ROWID;

CREATE TABLE planting (
    id             TEXT PRIMARY KEY REFERENCES record(id),
    site           TEXT NOT NULL REFERENCES site(id),
    name           TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    purpose        TEXT NOT NULL CHECK (purpose IN ('forage', 'biomass', 'conservation', 'wildlife')),
    seeded_on      TEXT NOT NULL CHECK (seeded_on IS date(seeded_on)),
    method         TEXT NOT NULL CHECK (method IN ('drilled', 'broadcast')),
    row_spacing_cm REAL CHECK (row_spacing_cm > 0),
    CHECK ((method = 'drilled') = (row_spacing_cm IS NOT NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX planting_by_site ON planting(site);

CREATE TABLE planting_mix (
    planting        TEXT NOT NULL REFERENCES planting(id) DEFERRABLE INITIALLY DEFERRED,
    ord             INTEGER NOT NULL CHECK (ord >= 1),
    taxon           TEXT NOT NULL CHECK (length(taxon) BETWEEN 1 AND 80),
    pls_lb_per_acre REAL CHECK (pls_lb_per_acre > 0), -- null: not known
    PRIMARY KEY (planting, ord),
    UNIQUE (planting, taxon)
) STRICT, WITHOUT ROWID;

CREATE TABLE plot (
    id       TEXT PRIMARY KEY REFERENCES record(id),
    planting TEXT NOT NULL REFERENCES planting(id),
    name     TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    note     TEXT NOT NULL CHECK (length(note) <= 2000)
) STRICT, WITHOUT ROWID;
CREATE INDEX plot_by_planting ON plot(planting);

CREATE TABLE visit (
    id         TEXT PRIMARY KEY REFERENCES record(id),
    planting   TEXT NOT NULL REFERENCES planting(id),
    visited_on TEXT NOT NULL CHECK (visited_on IS date(visited_on)),
    note       TEXT NOT NULL CHECK (length(note) <= 2000)
) STRICT, WITHOUT ROWID;
CREATE INDEX visit_by_planting ON visit(planting);

CREATE TABLE visit_scout (
    visit TEXT NOT NULL REFERENCES visit(id) DEFERRABLE INITIALLY DEFERRED,
    ord   INTEGER NOT NULL CHECK (ord >= 1),
    name  TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    PRIMARY KEY (visit, ord)
) STRICT, WITHOUT ROWID;

CREATE TABLE point (
    id            TEXT PRIMARY KEY REFERENCES record(id),
    plot          TEXT NOT NULL REFERENCES plot(id),
    visit         TEXT NOT NULL REFERENCES visit(id),
    label         TEXT NOT NULL CHECK (length(label) BETWEEN 1 AND 120),
    latitude      REAL CHECK (latitude BETWEEN -90 AND 90),
    longitude     REAL CHECK (longitude BETWEEN -180 AND 180),
    uncertainty_m REAL CHECK (uncertainty_m > 0),
    CHECK ((latitude IS NULL) = (longitude IS NULL)),
    CHECK (uncertainty_m IS NULL OR latitude IS NOT NULL)
) STRICT, WITHOUT ROWID;
CREATE INDEX point_by_plot ON point(plot);
CREATE INDEX point_by_visit ON point(visit);

CREATE TABLE unknown (
    id          TEXT PRIMARY KEY REFERENCES record(id),
    visit       TEXT NOT NULL REFERENCES visit(id),
    number      INTEGER NOT NULL CHECK (number >= 1),
    description TEXT NOT NULL CHECK (length(description) BETWEEN 1 AND 2000),
    first_seen  TEXT NOT NULL REFERENCES point(id)
) STRICT, WITHOUT ROWID;
CREATE INDEX unknown_by_visit ON unknown(visit);
CREATE INDEX unknown_by_first_seen ON unknown(first_seen);

CREATE TABLE frame (
    id           TEXT PRIMARY KEY REFERENCES record(id),
    point        TEXT NOT NULL REFERENCES point(id),
    number       INTEGER NOT NULL CHECK (number >= 1),
    scout        TEXT NOT NULL CHECK (length(scout) BETWEEN 1 AND 120),
    shape        TEXT NOT NULL CHECK (shape IN ('grid', 'quadrat')),
    cells        INTEGER CHECK (cells BETWEEN 1 AND 100),
    cell_side_cm REAL CHECK (cell_side_cm > 0),
    area_m2      REAL CHECK (area_m2 > 0),
    looked_twice INTEGER NOT NULL CHECK (looked_twice IN (0, 1)),
    CHECK ((shape = 'grid') = (cells IS NOT NULL)),
    CHECK ((shape = 'grid') = (cell_side_cm IS NOT NULL)),
    CHECK ((shape = 'quadrat') = (area_m2 IS NOT NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX frame_by_point ON frame(point);

-- In a grid `cell` is set and `plants` null (present is all it says); in a quadrat
-- the other way round. No rows for a frame: looked, none.
CREATE TABLE tally (
    frame   TEXT NOT NULL REFERENCES frame(id) DEFERRABLE INITIALLY DEFERRED,
    ord     INTEGER NOT NULL CHECK (ord >= 1),
    cell    INTEGER CHECK (cell >= 1),
    taxon   TEXT CHECK (length(taxon) BETWEEN 1 AND 80),
    unknown TEXT REFERENCES unknown(id),
    plants  INTEGER CHECK (plants >= 1),
    PRIMARY KEY (frame, ord),
    CHECK ((taxon IS NULL) <> (unknown IS NULL)),
    CHECK ((cell IS NULL) <> (plants IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX tally_by_unknown ON tally(unknown) WHERE unknown IS NOT NULL;

CREATE TABLE determination (
    id                TEXT PRIMARY KEY REFERENCES record(id),
    point             TEXT NOT NULL REFERENCES point(id),
    cell              INTEGER CHECK (cell BETWEEN 1 AND 100),
    unknown           TEXT REFERENCES unknown(id),
    taxon             TEXT CHECK (length(taxon) BETWEEN 1 AND 80), -- null: no name
    note              TEXT NOT NULL CHECK (length(note) <= 2000),
    key_id            TEXT NOT NULL,
    table_fingerprint TEXT NOT NULL,
    leaf_stage        TEXT NOT NULL,
    tools             TEXT NOT NULL CHECK (json_type(tools) = 'array'), -- sorted ids
    prior             TEXT NOT NULL CHECK (prior IN ('even')),
    outcome           TEXT NOT NULL
) STRICT, WITHOUT ROWID;
CREATE INDEX determination_by_point ON determination(point);
CREATE INDEX determination_by_unknown ON determination(unknown) WHERE unknown IS NOT NULL;

-- kind 'states': see answer_state; 'measure': in the trait's unit; 'cannot_tell': looked, could not tell.
CREATE TABLE answer (
    determination TEXT NOT NULL REFERENCES determination(id) DEFERRABLE INITIALLY DEFERRED,
    ord           INTEGER NOT NULL CHECK (ord >= 1),
    trait         TEXT NOT NULL CHECK (length(trait) BETWEEN 1 AND 80),
    kind          TEXT NOT NULL CHECK (kind IN ('states', 'measure', 'cannot_tell')),
    measure       REAL,
    PRIMARY KEY (determination, ord),
    CHECK ((kind = 'measure') = (measure IS NOT NULL))
) STRICT, WITHOUT ROWID;

CREATE TABLE answer_state (
    determination TEXT NOT NULL,
    answer        INTEGER NOT NULL, -- ord of the answer
    ord           INTEGER NOT NULL CHECK (ord >= 1),
    state         TEXT NOT NULL CHECK (length(state) BETWEEN 1 AND 80),
    PRIMARY KEY (determination, answer, ord),
    FOREIGN KEY (determination, answer) REFERENCES answer(determination, ord) DEFERRABLE INITIALLY DEFERRED
) STRICT, WITHOUT ROWID;

CREATE TABLE ranking (
    determination TEXT NOT NULL REFERENCES determination(id) DEFERRABLE INITIALLY DEFERRED,
    ord           INTEGER NOT NULL CHECK (ord >= 1), -- 1 is the best
    taxon         TEXT NOT NULL CHECK (length(taxon) BETWEEN 1 AND 80),
    probability   REAL NOT NULL CHECK (probability BETWEEN 0 AND 1),
    PRIMARY KEY (determination, ord)
) STRICT, WITHOUT ROWID;

CREATE TABLE opinion (
    id              TEXT PRIMARY KEY REFERENCES record(id),
    about           TEXT NOT NULL REFERENCES record(id), -- a determination or an unknown
    taxon           TEXT CHECK (length(taxon) BETWEEN 1 AND 80), -- null: no name of the key
    name_as_written TEXT NOT NULL CHECK (length(name_as_written) <= 120),
    reasons         TEXT NOT NULL CHECK (length(reasons) <= 2000)
) STRICT, WITHOUT ROWID;
CREATE INDEX opinion_by_about ON opinion(about);

CREATE TABLE photo (
    id         TEXT PRIMARY KEY REFERENCES record(id),
    of_record  TEXT NOT NULL REFERENCES record(id),
    sha256     TEXT NOT NULL CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    media_type TEXT NOT NULL CHECK (media_type IN ('image/jpeg', 'image/png', 'image/webp')),
    bytes      INTEGER NOT NULL CHECK (bytes >= 1),
    shows      TEXT NOT NULL CHECK (length(shows) <= 120)
) STRICT, WITHOUT ROWID;
CREATE INDEX photo_by_of ON photo(of_record);

-- Append-only, whatever tool is used. The third trigger of a whole stops INSERT OR
-- REPLACE even on connections that did not switch recursive_triggers on; that of a
-- part stops a kept record from growing: the parts are written before their whole.
CREATE TRIGGER record_no_update BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER record_no_delete BEFORE DELETE ON record
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER site_no_update BEFORE UPDATE ON site
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER site_no_delete BEFORE DELETE ON site
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER planting_no_update BEFORE UPDATE ON planting
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER planting_no_delete BEFORE DELETE ON planting
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER plot_no_update BEFORE UPDATE ON plot
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER plot_no_delete BEFORE DELETE ON plot
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER visit_no_update BEFORE UPDATE ON visit
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER visit_no_delete BEFORE DELETE ON visit
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER point_no_update BEFORE UPDATE ON point
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER point_no_delete BEFORE DELETE ON point
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER frame_no_update BEFORE UPDATE ON frame
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER frame_no_delete BEFORE DELETE ON frame
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER unknown_no_update BEFORE UPDATE ON unknown
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER unknown_no_delete BEFORE DELETE ON unknown
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER determination_no_update BEFORE UPDATE ON determination
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER determination_no_delete BEFORE DELETE ON determination
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER opinion_no_update BEFORE UPDATE ON opinion
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER opinion_no_delete BEFORE DELETE ON opinion
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER planting_mix_no_update BEFORE UPDATE ON planting_mix
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER planting_mix_no_delete BEFORE DELETE ON planting_mix
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER visit_scout_no_update BEFORE UPDATE ON visit_scout
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER visit_scout_no_delete BEFORE DELETE ON visit_scout
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER tally_no_update BEFORE UPDATE ON tally
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER tally_no_delete BEFORE DELETE ON tally
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER answer_no_update BEFORE UPDATE ON answer
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER answer_no_delete BEFORE DELETE ON answer
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER answer_state_no_update BEFORE UPDATE ON answer_state
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER answer_state_no_delete BEFORE DELETE ON answer_state
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER ranking_no_update BEFORE UPDATE ON ranking
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER ranking_no_delete BEFORE DELETE ON ranking
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER record_no_replace BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER site_no_replace BEFORE INSERT ON site
WHEN EXISTS (SELECT 1 FROM site WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER planting_no_replace BEFORE INSERT ON planting
WHEN EXISTS (SELECT 1 FROM planting WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER plot_no_replace BEFORE INSERT ON plot
WHEN EXISTS (SELECT 1 FROM plot WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER visit_no_replace BEFORE INSERT ON visit
WHEN EXISTS (SELECT 1 FROM visit WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER point_no_replace BEFORE INSERT ON point
WHEN EXISTS (SELECT 1 FROM point WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER frame_no_replace BEFORE INSERT ON frame
WHEN EXISTS (SELECT 1 FROM frame WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER unknown_no_replace BEFORE INSERT ON unknown
WHEN EXISTS (SELECT 1 FROM unknown WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER determination_no_replace BEFORE INSERT ON determination
WHEN EXISTS (SELECT 1 FROM determination WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER opinion_no_replace BEFORE INSERT ON opinion
WHEN EXISTS (SELECT 1 FROM opinion WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER photo_no_replace BEFORE INSERT ON photo
WHEN EXISTS (SELECT 1 FROM photo WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER planting_mix_no_growth BEFORE INSERT ON planting_mix
WHEN EXISTS (SELECT 1 FROM planting WHERE id = NEW.planting)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER visit_scout_no_growth BEFORE INSERT ON visit_scout
WHEN EXISTS (SELECT 1 FROM visit WHERE id = NEW.visit)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER tally_no_growth BEFORE INSERT ON tally
WHEN EXISTS (SELECT 1 FROM frame WHERE id = NEW.frame)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER answer_no_growth BEFORE INSERT ON answer
WHEN EXISTS (SELECT 1 FROM determination WHERE id = NEW.determination)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER answer_state_no_growth BEFORE INSERT ON answer_state
WHEN EXISTS (SELECT 1 FROM determination WHERE id = NEW.determination)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER ranking_no_growth BEFORE INSERT ON ranking
WHEN EXISTS (SELECT 1 FROM determination WHERE id = NEW.determination)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;

-- The present state: one record a chain of corrections. Of the records of a chain that
-- nobody supersedes, the one with the greatest (born_at, id) wins, so that two books
-- with the same records agree whatever order they came in.
CREATE VIEW current_record AS
SELECT r.id, r.kind, r.born_at, r.received_at, r.device, r.author, r.supersedes, r.root
FROM record r
WHERE NOT EXISTS (SELECT 1 FROM record s WHERE s.supersedes = r.id)
  AND NOT EXISTS (
    SELECT 1 FROM record o
    WHERE o.root = r.root AND (o.born_at, o.id) > (r.born_at, r.id)
      AND NOT EXISTS (SELECT 1 FROM record s WHERE s.supersedes = o.id));

-- From any version of a record to the current one of its chain.
CREATE VIEW current_version AS
SELECT r.id AS id, r.root AS root, c.id AS current_id
FROM record r JOIN current_record c ON c.root = r.root;

-- Where a point lies, in words; `point` is any version of it.
CREATE VIEW place AS
SELECT pv.id AS point, pv.root AS point_root, s.name AS site, pl.name AS planting, t.name AS plot,
       v.visited_on, p.label AS point_label, p.latitude, p.longitude, p.uncertainty_m
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

-- Every current determination with its place and the latest opinion on any version of it.
CREATE VIEW current_determination AS
SELECT c.id, w.site, w.planting, w.plot, w.visited_on, w.point_label, d.cell,
       u.number AS unknown_number, d.taxon, d.outcome,
       k.taxon AS top_taxon, k.probability AS top_probability,
       o.taxon AS opinion_taxon, o.name_as_written AS opinion_name,
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

-- Every tally of every current frame; a frame in which nothing was found has one row with ord null.
CREATE VIEW current_tally AS
SELECT c.id AS frame, w.site, w.planting, w.plot, w.visited_on, w.point_label,
       f.number AS frame_number, f.scout, f.shape, f.cells, f.cell_side_cm, f.area_m2,
       f.looked_twice, t.ord, t.cell, t.plants, t.taxon, u.number AS unknown_number
FROM current_record c
JOIN frame f ON f.id = c.id
JOIN place w ON w.point = f.point
LEFT JOIN tally t ON t.frame = f.id
LEFT JOIN current_version uv ON uv.id = t.unknown
LEFT JOIN unknown u ON u.id = uv.current_id;
