-- Version 3 of a book. Once released this file is never edited: add 0004 instead.
--
-- Photos as phones write them: HEIC and HEIF are kept as well. A CHECK cannot be altered in place,
-- so the table is made anew; why and how stands in 0002.

CREATE TABLE photo_3 (
    id         TEXT PRIMARY KEY REFERENCES record(id),
    of_record  TEXT NOT NULL REFERENCES record(id),
    sha256     TEXT NOT NULL CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    media_type TEXT NOT NULL CHECK (media_type IN ('image/jpeg', 'image/png', 'image/webp',
                    'image/heic', 'image/heif')),
    bytes      INTEGER NOT NULL CHECK (bytes >= 1),
    shows      TEXT NOT NULL CHECK (length(shows) <= 120)
) STRICT, WITHOUT ROWID;
INSERT INTO photo_3 (id, of_record, sha256, media_type, bytes, shows)
SELECT id, of_record, sha256, media_type, bytes, shows FROM photo;
DROP TABLE photo;
ALTER TABLE photo_3 RENAME TO photo;
CREATE INDEX photo_by_of ON photo(of_record);

CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo
BEGIN SELECT RAISE(ABORT, 'append-only: a correction is a new record'); END;
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo
BEGIN SELECT RAISE(ABORT, 'append-only: nothing is deleted'); END;
CREATE TRIGGER photo_no_replace BEFORE INSERT ON photo
WHEN EXISTS (SELECT 1 FROM photo WHERE id = NEW.id)
BEGIN SELECT RAISE(ABORT, 'append-only: this id is taken'); END;
