-- A book of version 1 to 4 that cannot be written, seen as version 5; how, stands in seen_1_as_2.

-- Kinds that are not there before version 5.
CREATE TEMP VIEW practice_set AS SELECT NULL AS id, NULL AS title, NULL AS purpose, NULL AS planting, NULL AS visit, NULL AS minutes WHERE FALSE;
CREATE TEMP VIEW practice AS SELECT NULL AS id, NULL AS scout, NULL AS whose, NULL AS practice_set WHERE FALSE;
CREATE TEMP VIEW scout_rule AS SELECT NULL AS id, NULL AS planting WHERE FALSE;
CREATE TEMP VIEW practice_removal AS SELECT NULL AS id, NULL AS whose, NULL AS until WHERE FALSE;
