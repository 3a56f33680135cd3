-- A book of version 1 that cannot be written, seen as version 2. These views last as long as one
-- question and live in memory; they stand in front of the tables of the file with the same names.

CREATE TEMP VIEW site AS
SELECT *, '' AS owner, '' AS county, '' AS state FROM main.site;
CREATE TEMP VIEW planting AS
SELECT *, '' AS farm_number, '' AS tract_number, '' AS field_number, NULL AS stated_area_m2,
       NULL AS irrigated, '' AS note FROM main.planting;
CREATE TEMP VIEW planting_mix AS
SELECT *, NULL AS planned_pls_lb_per_acre FROM main.planting_mix;
CREATE TEMP VIEW point AS
SELECT *, NULL AS plan, NULL AS planned_number, '' AS unreachable FROM main.point;
CREATE TEMP VIEW frame AS
SELECT *, NULL AS row_length_m, NULL AS row_spacing_cm, NULL AS repeats FROM main.frame;

-- Kinds that version 1 does not have: none there. Of their columns, those that questions name.
CREATE TEMP VIEW seed_lot AS SELECT NULL AS id, NULL AS planting WHERE FALSE;
CREATE TEMP VIEW event AS SELECT NULL AS id, NULL AS planting WHERE FALSE;
CREATE TEMP VIEW outline AS SELECT NULL AS id, NULL AS planting, NULL AS plot WHERE FALSE;
CREATE TEMP VIEW plan AS SELECT NULL AS id, NULL AS planting WHERE FALSE;
CREATE TEMP VIEW plan_point AS SELECT NULL AS plan, NULL AS number, NULL AS plot WHERE FALSE;
CREATE TEMP VIEW standard AS SELECT NULL AS id WHERE FALSE;
