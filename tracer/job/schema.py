"""The tables of a job file, as small named migrations. `user_version` counts those applied."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass

__all__ = ["APPLICATION_ID", "MIGRATIONS", "NEWEST", "Migration", "migrate"]

APPLICATION_ID = 0x54524A42
"""ASCII "TRJB" in the file's header, by which `file` and `open_job` know a job from another database."""


@dataclass(frozen=True, slots=True)
class Migration:
    """One step of the schema."""

    name: str
    statements: tuple[str, ...]


_SHEETS = (
    "CREATE TABLE files (sha256 TEXT PRIMARY KEY, name TEXT NOT NULL, bytes BLOB NOT NULL) STRICT",
    """CREATE TABLE sheets (
        number INTEGER PRIMARY KEY, name TEXT NOT NULL, page INTEGER NOT NULL,
        sha256 TEXT NOT NULL REFERENCES files (sha256), dpi INTEGER NOT NULL) STRICT""",
    # What reading and tracing gave, kept to save time; may be thrown away at any moment.
    """CREATE TABLE traces (
        sheet INTEGER NOT NULL, key TEXT NOT NULL, bytes BLOB NOT NULL, used INTEGER NOT NULL,
        PRIMARY KEY (sheet, key)) STRICT""",
)
_CONFIRMED = (
    """CREATE TABLE tags (
        id INTEGER PRIMARY KEY AUTOINCREMENT, sheet INTEGER NOT NULL, box TEXT NOT NULL, kind TEXT NOT NULL,
        reference TEXT NOT NULL, value TEXT, terminals TEXT NOT NULL, options TEXT NOT NULL) STRICT""",
    """CREATE TABLE marks (
        id INTEGER PRIMARY KEY AUTOINCREMENT, sheet INTEGER NOT NULL, x REAL NOT NULL, y REAL NOT NULL,
        kind TEXT NOT NULL, "when" TEXT NOT NULL, note TEXT NOT NULL) STRICT""",
    """CREATE TABLE mends (
        id INTEGER PRIMARY KEY AUTOINCREMENT, sheet INTEGER NOT NULL, kind TEXT NOT NULL,
        x REAL NOT NULL, y REAL NOT NULL, x2 REAL, y2 REAL) STRICT""",
    """CREATE TABLE banks (
        id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE, positions TEXT NOT NULL,
        style TEXT NOT NULL) STRICT""",
    'CREATE TABLE rails (id INTEGER PRIMARY KEY AUTOINCREMENT, name TEXT NOT NULL UNIQUE, "at" TEXT) STRICT',
    "CREATE TABLE choices (name TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT",
)
_RECORD = (
    "CREATE TABLE networks (hash TEXT PRIMARY KEY, wiring TEXT NOT NULL) STRICT",
    """CREATE TABLE readings (
        number INTEGER PRIMARY KEY AUTOINCREMENT, start TEXT NOT NULL, "end" TEXT NOT NULL,
        shown TEXT NOT NULL, ohms REAL NOT NULL, rising INTEGER NOT NULL, setting TEXT NOT NULL,
        meter TEXT NOT NULL, "when" TEXT NOT NULL, network TEXT NOT NULL, verdict TEXT NOT NULL,
        withdrawn INTEGER NOT NULL DEFAULT 0, cites INTEGER REFERENCES readings (number)) STRICT""",
    # A reading is a fact: only the flag that it was withdrawn may change.
    """CREATE TRIGGER readings_stay BEFORE DELETE ON readings
        BEGIN SELECT RAISE (ABORT, 'a reading is never deleted'); END""",
    """CREATE TRIGGER readings_hold BEFORE UPDATE OF
        number, start, "end", shown, ohms, rising, setting, meter, "when", network, verdict, cites ON readings
        BEGIN SELECT RAISE (ABORT, 'a reading is never changed'); END""",
    'CREATE TABLE cautions ("when" TEXT NOT NULL) STRICT',
    """CREATE TABLE edits (
        id INTEGER PRIMARY KEY AUTOINCREMENT, "when" TEXT NOT NULL, words TEXT NOT NULL,
        forward TEXT NOT NULL, inverse TEXT NOT NULL, state TEXT NOT NULL
        CHECK (state IN ('done', 'undone', 'dropped'))) STRICT""",
)
_SAFETY_AND_NO = (
    """CREATE TABLE dismissals (
        id INTEGER PRIMARY KEY AUTOINCREMENT, sheet INTEGER NOT NULL, box TEXT NOT NULL, kind TEXT NOT NULL
        ) STRICT""",
    # A fact, like a reading: from that moment on capacitors may hold a charge again.
    'CREATE TABLE power ("when" TEXT NOT NULL) STRICT',
    """CREATE TRIGGER power_stays BEFORE DELETE ON power
        BEGIN SELECT RAISE (ABORT, 'that power was applied is never deleted'); END""",
)
_FITTED = (
    # The sheet's print stays in tags; of a tag's rows here the last one rules.
    """CREATE TABLE fitted (
        id INTEGER PRIMARY KEY AUTOINCREMENT, tag INTEGER NOT NULL, value TEXT NOT NULL,
        tolerance TEXT NOT NULL, source TEXT NOT NULL, "when" TEXT NOT NULL) STRICT""",
)

MIGRATIONS: tuple[Migration, ...] = (
    Migration("sheets and what tracing gave", _SHEETS),
    Migration("what a person confirmed", _CONFIRMED),
    Migration("readings and edits", _RECORD),
    Migration("what is no part, and when power was applied", _SAFETY_AND_NO),
    Migration("values as fitted", _FITTED),
)
"""Applied in order. Never change one that was released; add another."""

NEWEST = len(MIGRATIONS)
"""The `user_version` of a file with every migration applied."""


def migrate(connection: sqlite3.Connection) -> int:
    """Apply the migrations that `connection`'s file lacks, each in one transaction; return how many."""
    version = int(connection.execute("PRAGMA user_version").fetchone()[0])
    for number, migration in enumerate(MIGRATIONS[version:], start=version + 1):
        connection.execute("BEGIN IMMEDIATE")
        try:
            for statement in migration.statements:
                connection.execute(statement)
            # Pragmas take no parameters; both values are whole numbers of ours.
            connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
            connection.execute(f"PRAGMA user_version = {number}")
        except BaseException:
            connection.rollback()
            raise
        connection.commit()
    return NEWEST - version
