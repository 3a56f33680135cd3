-- A book of version 1 to 3 that cannot be written, seen as version 4; how, stands in seen_1_as_2.

CREATE TEMP VIEW opinion AS
SELECT *, NULL AS qualifier, NULL AS genus, 0 AS blind FROM main.opinion;
CREATE TEMP VIEW opinion_evidence AS SELECT NULL AS opinion WHERE FALSE;
CREATE TEMP VIEW opinion_answer AS SELECT NULL AS opinion WHERE FALSE;

-- Kinds that are not there before version 4.
CREATE TEMP VIEW voucher AS SELECT NULL AS id, NULL AS about, NULL AS collector, NULL AS number WHERE FALSE;
CREATE TEMP VIEW come_back AS
SELECT NULL AS id, NULL AS about, NULL AS due_on, NULL AS seen_on WHERE FALSE;
CREATE TEMP VIEW audit AS SELECT NULL AS id, NULL AS visit WHERE FALSE;
CREATE TEMP VIEW audit_plant AS
SELECT NULL AS audit, NULL AS ord, NULL AS determination WHERE FALSE;
