-- Version 2 of a book. Once released this file is never edited: add 0003 instead.
--
-- New kinds: seed lots, events, outlines, sampling plans, standards. More about sites, plantings,
-- points and frames. A record of version 1 keeps every value; what it does not say is empty text
-- or null.
--
-- A CHECK cannot be altered in place, so `record` and `frame` are made anew and filled from the
-- old ones. Source: sqlite.org, "ALTER TABLE", 8, "Making Other Kinds Of Table Schema Changes".
-- Foreign keys are off while this runs, and are checked before it is committed (`schema.rs`).

-- Views and triggers that name these tables would stand in the way of the new names.
DROP VIEW current_tally;
DROP VIEW current_determination;
DROP VIEW place;
DROP VIEW current_version;
DROP VIEW current_record;
DROP TRIGGER tally_no_growth;

CREATE TABLE record_2 (
    id          TEXT PRIMARY KEY CHECK (length(id) = 36 AND id = lower(id)),
    kind        TEXT NOT NULL CHECK (kind IN ('site', 'planting', 'seed_lot', 'event', 'outline',
                    'plan', 'standard', 'plot', 'visit', 'point', 'unknown', 'frame',
                    'determination', 'opinion', 'photo')),
    born_at     TEXT NOT NULL CHECK (born_at LIKE '____-__-__T__:__:__.___Z'),
    received_at TEXT NOT NULL CHECK (received_at LIKE '____-__-__T__:__:__.___Z'),
    device      TEXT NOT NULL CHECK (length(device) BETWEEN 1 AND 120),
    author      TEXT NOT NULL CHECK (length(author) BETWEEN 1 AND 120),
    supersedes  TEXT REFERENCES record(id) CHECK (supersedes <> id),
    -- The first record of the chain of corrections; its own id for a record that corrects none.
    root        TEXT NOT NULL REFERENCES record(id) CHECK ((supersedes IS NULL) = (root = id))
) STRICT, WITHOUT ROWID;
INSERT INTO record_2 (id, kind, born_at, received_at, device, author, supersedes, root)
SELECT id, kind, born_at, received_at, device, author, supersedes, root FROM record;
DROP TABLE record;
ALTER TABLE record_2 RENAME TO record;
CREATE INDEX record_by_root ON record(root);
CREATE INDEX record_by_supersedes ON record(supersedes) WHERE supersedes IS NOT NULL;

ALTER TABLE site ADD COLUMN owner TEXT NOT NULL DEFAULT '' CHECK (length(owner) <= 120);
ALTER TABLE site ADD COLUMN county TEXT NOT NULL DEFAULT '' CHECK (length(county) <= 120);
ALTER TABLE site ADD COLUMN state TEXT NOT NULL DEFAULT '' CHECK (length(state) <= 120);

ALTER TABLE planting ADD COLUMN farm_number TEXT NOT NULL DEFAULT '' CHECK (length(farm_number) <= 120);
ALTER TABLE planting ADD COLUMN tract_number TEXT NOT NULL DEFAULT '' CHECK (length(tract_number) <= 120);
ALTER TABLE planting ADD COLUMN field_number TEXT NOT NULL DEFAULT '' CHECK (length(field_number) <= 120);
ALTER TABLE planting ADD COLUMN stated_area_m2 REAL CHECK (stated_area_m2 > 0); -- null: not said
ALTER TABLE planting ADD COLUMN irrigated INTEGER CHECK (irrigated IN (0, 1)); -- null: not said
ALTER TABLE planting ADD COLUMN note TEXT NOT NULL DEFAULT '' CHECK (length(note) <= 2000);

-- `pls_lb_per_acre` is as applied; null: not known.
ALTER TABLE planting_mix ADD COLUMN planned_pls_lb_per_acre REAL CHECK (planned_pls_lb_per_acre > 0);

-- Percent by weight of the bag; germination and dormant in percent of the pure seeds. Null: not on the tag.
CREATE TABLE seed_lot (
    id                  TEXT PRIMARY KEY REFERENCES record(id),
    planting            TEXT NOT NULL REFERENCES planting(id),
    taxon               TEXT NOT NULL CHECK (length(taxon) BETWEEN 1 AND 80),
    lot                 TEXT NOT NULL CHECK (length(lot) BETWEEN 1 AND 120),
    variety             TEXT NOT NULL CHECK (length(variety) <= 120),
    origin              TEXT NOT NULL CHECK (length(origin) <= 120),
    purity_percent      REAL CHECK (purity_percent BETWEEN 0 AND 100),
    germination_percent REAL CHECK (germination_percent BETWEEN 0 AND 100),
    dormant_percent     REAL CHECK (dormant_percent BETWEEN 0 AND 100),
    other_crop_percent  REAL CHECK (other_crop_percent BETWEEN 0 AND 100),
    inert_percent       REAL CHECK (inert_percent BETWEEN 0 AND 100),
    weed_percent        REAL CHECK (weed_percent BETWEEN 0 AND 100),
    tested_month        TEXT CHECK (tested_month || '-01' IS date(tested_month || '-01')), -- 2026-02
    seeds_per_lb        REAL CHECK (seeds_per_lb > 0), -- of pure seed
    bulk_lb             REAL CHECK (bulk_lb > 0),
    note                TEXT NOT NULL CHECK (length(note) <= 2000)
) STRICT, WITHOUT ROWID;
CREATE INDEX seed_lot_by_planting ON seed_lot(planting);

CREATE TABLE seed_lot_noxious (
    seed_lot     TEXT NOT NULL REFERENCES seed_lot(id) DEFERRABLE INITIALLY DEFERRED,
    ord          INTEGER NOT NULL CHECK (ord >= 1),
    name         TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    seeds_per_lb REAL NOT NULL CHECK (seeds_per_lb > 0), -- of bulk seed
    PRIMARY KEY (seed_lot, ord)
) STRICT, WITHOUT ROWID;

-- A measure belongs to one kind of event and is null for every other; null there: not known.
CREATE TABLE event (
    id               TEXT PRIMARY KEY REFERENCES record(id),
    planting         TEXT NOT NULL REFERENCES planting(id),
    happened_on      TEXT NOT NULL CHECK (happened_on IS date(happened_on)),
    what             TEXT NOT NULL CHECK (what IN ('mowed', 'sprayed', 'rain', 'drought', 'grazed',
                         'burned', 'overseeded', 'other')),
    height_cm        REAL CHECK (height_cm > 0),
    entry_after_h    REAL CHECK (entry_after_h >= 0),
    graze_after_days REAL CHECK (graze_after_days >= 0),
    rain_mm          REAL CHECK (rain_mm > 0),
    note             TEXT NOT NULL CHECK (length(note) <= 2000),
    CHECK (what = 'mowed' OR height_cm IS NULL),
    CHECK (what = 'sprayed' OR (entry_after_h IS NULL AND graze_after_days IS NULL)),
    CHECK (what = 'rain' OR rain_mm IS NULL)
) STRICT, WITHOUT ROWID;
CREATE INDEX event_by_planting ON event(planting);

CREATE TABLE outline (
    id       TEXT PRIMARY KEY REFERENCES record(id),
    planting TEXT NOT NULL REFERENCES planting(id),
    what     TEXT NOT NULL CHECK (what IN ('field', 'plot', 'keep_out')),
    plot     TEXT REFERENCES plot(id),
    name     TEXT NOT NULL CHECK (length(name) <= 120),
    origin   TEXT NOT NULL CHECK (length(origin) BETWEEN 1 AND 300),
    CHECK ((what = 'plot') = (plot IS NOT NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX outline_by_planting ON outline(planting);
CREATE INDEX outline_by_plot ON outline(plot) WHERE plot IS NOT NULL;

-- Polygons, rings (1 is the outer one, the others are holes) and corners are numbered from 1.
CREATE TABLE outline_corner (
    outline   TEXT NOT NULL REFERENCES outline(id) DEFERRABLE INITIALLY DEFERRED,
    polygon   INTEGER NOT NULL CHECK (polygon >= 1),
    ring      INTEGER NOT NULL CHECK (ring >= 1),
    ord       INTEGER NOT NULL CHECK (ord >= 1),
    latitude  REAL NOT NULL CHECK (latitude BETWEEN -90 AND 90),
    longitude REAL NOT NULL CHECK (longitude BETWEEN -180 AND 180),
    PRIMARY KEY (outline, polygon, ring, ord)
) STRICT, WITHOUT ROWID;

CREATE TABLE plan (
    id                     TEXT PRIMARY KEY REFERENCES record(id),
    planting               TEXT NOT NULL REFERENCES planting(id),
    name                   TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    design                 TEXT NOT NULL CHECK (design IN ('balanced', 'grid', 'transects')),
    spacing_m              REAL CHECK (spacing_m > 0),
    apart_m                REAL CHECK (apart_m > 0),
    step_m                 REAL CHECK (step_m > 0),
    bearing_deg            REAL CHECK (bearing_deg BETWEEN 0 AND 180),
    draw_seed              INTEGER NOT NULL CHECK (draw_seed BETWEEN 0 AND 4294967295),
    edge_m                 REAL NOT NULL CHECK (edge_m >= 0),
    -- When to stop: all five or, to walk every point, none. Shares of cells and of stands, 0 to 1.
    stop_low               REAL CHECK (stop_low >= 0),
    stop_high              REAL CHECK (stop_high <= 1 AND stop_high > stop_low),
    stop_wrongly_enough    REAL CHECK (stop_wrongly_enough > 0 AND stop_wrongly_enough < 0.5),
    stop_wrongly_too_few   REAL CHECK (stop_wrongly_too_few > 0 AND stop_wrongly_too_few < 0.5),
    stop_most_points       INTEGER CHECK (stop_most_points >= 1),
    CHECK ((design = 'grid') = (spacing_m IS NOT NULL)),
    CHECK ((design = 'transects') = (apart_m IS NOT NULL)),
    CHECK ((design = 'transects') = (step_m IS NOT NULL)),
    CHECK ((design = 'transects') = (bearing_deg IS NOT NULL)),
    CHECK ((stop_low IS NULL) = (stop_high IS NULL)),
    CHECK ((stop_low IS NULL) = (stop_wrongly_enough IS NULL)),
    CHECK ((stop_low IS NULL) = (stop_wrongly_too_few IS NULL)),
    CHECK ((stop_low IS NULL) = (stop_most_points IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX plan_by_planting ON plan(planting);

-- `walk` is the place in the walking order; null for a spare.
CREATE TABLE plan_point (
    plan      TEXT NOT NULL REFERENCES plan(id) DEFERRABLE INITIALLY DEFERRED,
    number    INTEGER NOT NULL CHECK (number >= 1),
    latitude  REAL NOT NULL CHECK (latitude BETWEEN -90 AND 90),
    longitude REAL NOT NULL CHECK (longitude BETWEEN -180 AND 180),
    plot      TEXT REFERENCES plot(id),
    spare     INTEGER NOT NULL CHECK (spare IN (0, 1)),
    walk      INTEGER CHECK (walk >= 1),
    PRIMARY KEY (plan, number),
    UNIQUE (plan, walk),
    CHECK ((spare = 1) = (walk IS NULL))
) STRICT, WITHOUT ROWID;
CREATE INDEX plan_point_by_plot ON plan_point(plot) WHERE plot IS NOT NULL;

-- No rows in standard_purpose: all purposes; in standard_taxon: everything planted together.
CREATE TABLE standard (
    id                     TEXT PRIMARY KEY REFERENCES record(id),
    name                   TEXT NOT NULL CHECK (length(name) BETWEEN 1 AND 120),
    region                 TEXT NOT NULL CHECK (length(region) <= 120),
    at_least_share         REAL CHECK (at_least_share > 0 AND at_least_share <= 1), -- of 15 cm cells
    at_least_plants_per_m2 REAL CHECK (at_least_plants_per_m2 > 0),
    season                 INTEGER CHECK (season >= 1), -- null: any
    source                 TEXT NOT NULL CHECK (length(source) BETWEEN 1 AND 2000),
    withdrawn              INTEGER NOT NULL CHECK (withdrawn IN (0, 1)),
    CHECK ((at_least_share IS NULL) <> (at_least_plants_per_m2 IS NULL))
) STRICT, WITHOUT ROWID;

CREATE TABLE standard_purpose (
    standard TEXT NOT NULL REFERENCES standard(id) DEFERRABLE INITIALLY DEFERRED,
    ord      INTEGER NOT NULL CHECK (ord >= 1),
    purpose  TEXT NOT NULL CHECK (purpose IN ('forage', 'biomass', 'conservation', 'wildlife')),
    PRIMARY KEY (standard, ord),
    UNIQUE (standard, purpose)
) STRICT, WITHOUT ROWID;

CREATE TABLE standard_taxon (
    standard TEXT NOT NULL REFERENCES standard(id) DEFERRABLE INITIALLY DEFERRED,
    ord      INTEGER NOT NULL CHECK (ord >= 1),
    taxon    TEXT NOT NULL CHECK (length(taxon) BETWEEN 1 AND 80),
    PRIMARY KEY (standard, ord),
    UNIQUE (standard, taxon)
) STRICT, WITHOUT ROWID;

-- The point of a plan that it is. `unreachable` says why nobody got there; empty: it was reached.
ALTER TABLE point ADD COLUMN plan TEXT REFERENCES plan(id);
ALTER TABLE point ADD COLUMN planned_number INTEGER CHECK (planned_number >= 1)
    CHECK ((plan IS NULL) = (planned_number IS NULL));
ALTER TABLE point ADD COLUMN unreachable TEXT NOT NULL DEFAULT '' CHECK (length(unreachable) <= 2000);
CREATE INDEX point_by_plan ON point(plan) WHERE plan IS NOT NULL;

CREATE TABLE frame_2 (
    id             TEXT PRIMARY KEY REFERENCES record(id),
    point          TEXT NOT NULL REFERENCES point(id),
    number         INTEGER NOT NULL CHECK (number >= 1),
    scout          TEXT NOT NULL CHECK (length(scout) BETWEEN 1 AND 120),
    shape          TEXT NOT NULL CHECK (shape IN ('grid', 'quadrat', 'row')),
    cells          INTEGER CHECK (cells BETWEEN 1 AND 100),
    cell_side_cm   REAL CHECK (cell_side_cm > 0),
    area_m2        REAL CHECK (area_m2 > 0),
    row_length_m   REAL CHECK (row_length_m > 0),
    row_spacing_cm REAL CHECK (row_spacing_cm > 0),
    looked_twice   INTEGER NOT NULL CHECK (looked_twice IN (0, 1)),
    repeats        TEXT REFERENCES frame(id) CHECK (repeats <> id), -- read again by another scout
    CHECK ((shape = 'grid') = (cells IS NOT NULL)),
    CHECK ((shape = 'grid') = (cell_side_cm IS NOT NULL)),
    CHECK ((shape = 'quadrat') = (area_m2 IS NOT NULL)),
    CHECK ((shape = 'row') = (row_length_m IS NOT NULL)),
    CHECK ((shape = 'row') = (row_spacing_cm IS NOT NULL))
) STRICT, WITHOUT ROWID;
INSERT INTO frame_2 (id, point, number, scout, shape, cells, cell_side_cm, area_m2, looked_twice)
SELECT id, point, number, scout, shape, cells, cell_side_cm, area_m2, looked_twice FROM frame;
DROP TABLE frame;
ALTER TABLE frame_2 RENAME TO frame;
CREATE INDEX frame_by_point ON frame(point);
CREATE INDEX frame_by_repeats ON frame(repeats) WHERE repeats IS NOT NULL;

-- Append-only, as in version 1: the triggers that went with the old tables, and those of the new ones.
CREATE TRIGGER record_no_update BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER record_no_delete BEFORE DELETE ON record
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER frame_no_update BEFORE UPDATE ON frame
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER frame_no_delete BEFORE DELETE ON frame
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER seed_lot_no_update BEFORE UPDATE ON seed_lot
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER seed_lot_no_delete BEFORE DELETE ON seed_lot
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER event_no_update BEFORE UPDATE ON event
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER event_no_delete BEFORE DELETE ON event
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER outline_no_update BEFORE UPDATE ON outline
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER outline_no_delete BEFORE DELETE ON outline
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER plan_no_update BEFORE UPDATE ON plan
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER plan_no_delete BEFORE DELETE ON plan
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER standard_no_update BEFORE UPDATE ON standard
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER standard_no_delete BEFORE DELETE ON standard
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER seed_lot_noxious_no_update BEFORE UPDATE ON seed_lot_noxious
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER seed_lot_noxious_no_delete BEFORE DELETE ON seed_lot_noxious
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER outline_corner_no_update BEFORE UPDATE ON outline_corner
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER outline_corner_no_delete BEFORE DELETE ON outline_corner
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER plan_point_no_update BEFORE UPDATE ON plan_point
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER plan_point_no_delete BEFORE DELETE ON plan_point
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER standard_purpose_no_update BEFORE UPDATE ON standard_purpose
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER standard_purpose_no_delete BEFORE DELETE ON standard_purpose
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER standard_taxon_no_update BEFORE UPDATE ON standard_taxon
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER standard_taxon_no_delete BEFORE DELETE ON standard_taxon
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER record_no_replace BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER frame_no_replace BEFORE INSERT ON frame
WHEN EXISTS (SELECT 1 FROM frame WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER seed_lot_no_replace BEFORE INSERT ON seed_lot
WHEN EXISTS (SELECT 1 FROM seed_lot WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER event_no_replace BEFORE INSERT ON event
WHEN EXISTS (SELECT 1 FROM event WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER outline_no_replace BEFORE INSERT ON outline
WHEN EXISTS (SELECT 1 FROM outline WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER plan_no_replace BEFORE INSERT ON plan
WHEN EXISTS (SELECT 1 FROM plan WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER standard_no_replace BEFORE INSERT ON standard
WHEN EXISTS (SELECT 1 FROM standard WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
CREATE TRIGGER tally_no_growth BEFORE INSERT ON tally
WHEN EXISTS (SELECT 1 FROM frame WHERE id = NEW.frame)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER seed_lot_noxious_no_growth BEFORE INSERT ON seed_lot_noxious
WHEN EXISTS (SELECT 1 FROM seed_lot WHERE id = NEW.seed_lot)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER outline_corner_no_growth BEFORE INSERT ON outline_corner
WHEN EXISTS (SELECT 1 FROM outline WHERE id = NEW.outline)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER plan_point_no_growth BEFORE INSERT ON plan_point
WHEN EXISTS (SELECT 1 FROM plan WHERE id = NEW.plan)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER standard_purpose_no_growth BEFORE INSERT ON standard_purpose
WHEN EXISTS (SELECT 1 FROM standard WHERE id = NEW.standard)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;
CREATE TRIGGER standard_taxon_no_growth BEFORE INSERT ON standard_taxon
WHEN EXISTS (SELECT 1 FROM standard WHERE id = NEW.standard)
BEGIN SELECT RAISE(ABORT, 'append-only: a kept record does not grow'); END;

-- The views of version 1; their rules stand there. New are a point that was not reached, rows and repeats.
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
