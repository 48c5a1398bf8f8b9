"""The index's schema as a list of steps; each is recorded in the same transaction that makes it.

Steps are only ever added at the end. ``frame`` keeps what an unchanged file is known by first and blobs last, so that
asking for the former does not read the latter.
"""

from __future__ import annotations

import sqlite3

from setsolver.errors import BadInput

__all__ = ["STEPS", "migrate"]

STEPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "frames, refused files, corrections, grouping",
        (
            """
            CREATE TABLE frame (
                id INTEGER PRIMARY KEY,
                path TEXT NOT NULL UNIQUE,
                bytes INTEGER NOT NULL,
                mtime_ns INTEGER NOT NULL,
                stamp TEXT NOT NULL,
                digest BLOB NOT NULL,
                version TEXT NOT NULL,
                width INTEGER NOT NULL,
                height INTEGER NOT NULL,
                note TEXT NOT NULL,
                shot TEXT NOT NULL,
                facts TEXT NOT NULL,
                phash BLOB NOT NULL,
                tiles BLOB NOT NULL,
                neutral BLOB NOT NULL,
                detail BLOB NOT NULL,
                attention BLOB NOT NULL,
                embedding BLOB NOT NULL
            )
            """,
            """
            CREATE TABLE refused (
                path TEXT PRIMARY KEY,
                bytes INTEGER NOT NULL,
                mtime_ns INTEGER NOT NULL,
                stamp TEXT NOT NULL,
                version TEXT NOT NULL,
                why TEXT NOT NULL,
                again INTEGER NOT NULL
            )
            """,
            "CREATE TABLE correction (path TEXT PRIMARY KEY, scale TEXT NOT NULL)",
            """
            CREATE TABLE label (
                frame INTEGER PRIMARY KEY REFERENCES frame (id) ON DELETE CASCADE,
                moment INTEGER NOT NULL,
                scene INTEGER NOT NULL,
                chapter INTEGER NOT NULL
            )
            """,
            """
            CREATE TABLE pair (
                first INTEGER NOT NULL REFERENCES frame (id) ON DELETE CASCADE,
                second INTEGER NOT NULL REFERENCES frame (id) ON DELETE CASCADE,
                PRIMARY KEY (first, second)
            ) WITHOUT ROWID
            """,
            "CREATE INDEX pair_second ON pair (second)",
            "CREATE TABLE fact (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
        ),
    ),
    (
        "series of like frames",
        (
            """
            CREATE TABLE series (
                frame INTEGER PRIMARY KEY REFERENCES frame (id) ON DELETE CASCADE,
                series INTEGER NOT NULL
            )
            """,
        ),
    ),
    ("the content of corrected files that are gone", ("ALTER TABLE correction ADD COLUMN digest BLOB",)),
    (
        "corrections of any kind, and the turn under which a frame was measured",
        (
            "ALTER TABLE correction RENAME TO said_scale",
            """
            CREATE TABLE correction (
                path TEXT NOT NULL, name TEXT NOT NULL, value TEXT NOT NULL, digest BLOB, PRIMARY KEY (path, name)
            ) WITHOUT ROWID
            """,
            "INSERT INTO correction SELECT path, 'scale', scale, digest FROM said_scale",
            "DROP TABLE said_scale",
            """
            CREATE TABLE turned (
                frame INTEGER PRIMARY KEY REFERENCES frame (id) ON DELETE CASCADE,
                degrees INTEGER NOT NULL
            )
            """,
        ),
    ),
    (
        "arrays of any measure; those of older versions are measured again",
        (
            """
            CREATE TABLE array (
                frame INTEGER NOT NULL REFERENCES frame (id) ON DELETE CASCADE,
                name TEXT NOT NULL,
                kind TEXT NOT NULL,
                shape TEXT NOT NULL,
                value BLOB NOT NULL,
                PRIMARY KEY (frame, name)
            ) WITHOUT ROWID
            """,
            *(
                f"ALTER TABLE frame DROP COLUMN {name}"
                for name in ("phash", "tiles", "neutral", "detail", "attention", "embedding")
            ),
            "UPDATE frame SET version = '', facts = '{}'",
        ),
    ),
    (
        "when corrections were made, and which were taken back",
        (
            "ALTER TABLE correction ADD COLUMN made_ns INTEGER NOT NULL DEFAULT 0",
            """
            CREATE TABLE taken_back (
                path TEXT NOT NULL, name TEXT NOT NULL, made_ns INTEGER NOT NULL, PRIMARY KEY (path, name)
            ) WITHOUT ROWID
            """,
        ),
    ),
)


def migrate(db: sqlite3.Connection) -> None:
    """Bring an index up to date; ``db`` is in autocommit mode (``isolation_level`` None).

    Raises
    ------
    BadInput
        Where the index was made by a newer setsolver, or says what none says.
    """
    if _done(db) == len(STEPS):
        return
    db.execute("BEGIN IMMEDIATE")
    try:
        db.execute("CREATE TABLE IF NOT EXISTS migration (number INTEGER PRIMARY KEY, name TEXT, made TEXT)")
        for number in range(_done(db), len(STEPS)):
            name, statements = STEPS[number]
            for statement in statements:
                db.execute(statement)
            db.execute("INSERT INTO migration VALUES (?, ?, datetime('now'))", (number + 1, name))
        db.execute(f"PRAGMA user_version = {len(STEPS)}")
    except BaseException:
        db.execute("ROLLBACK")
        raise
    db.execute("COMMIT")


def _done(db: sqlite3.Connection) -> int:
    done = int(db.execute("PRAGMA user_version").fetchone()[0])
    if done < 0:
        raise BadInput(
            f"the index has schema {done}, which none ever had: it is damaged; delete it and scan again "
            "(corrections kept in it are lost)"
        )
    if done > len(STEPS):
        raise BadInput(
            f"the index has schema {done}, this setsolver knows {len(STEPS)}: it was made by a newer version; "
            "update setsolver, or delete the index to measure again"
        )
    return done
