"""Making and opening job files: one SQLite file, every change committed at once."""

from __future__ import annotations

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from types import TracebackType
from uuid import uuid4

from tracer.errors import DamagedJob, FileMissing, JobTooNew, NotAJob, TargetUnwritable
from tracer.job.schema import APPLICATION_ID, NEWEST, migrate

__all__ = ["Job", "create_job", "open_job", "transaction"]

_HEADER = b"SQLite format 3\x00"
# Offsets in the 100-byte header of the SQLite file format, https://www.sqlite.org/fileformat.html §1.3.
_USER_VERSION_AT = 60
_APPLICATION_ID_AT = 68


@dataclass(frozen=True, slots=True, eq=False)
class Job:
    """A handle on an open job file; close it, or use it as a context manager.

    One handle may be passed between threads: writers take `lock` (see `transaction`). Long work that
    writes for itself does better with a handle of its own on the same path.
    """

    connection: sqlite3.Connection
    path: Path
    lock: threading.RLock = field(default_factory=threading.RLock)

    def close(self) -> None:
        """Close the file. Nothing is lost by not closing it: every change is committed already."""
        self.connection.close()

    def __enter__(self) -> Job:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()


@contextmanager
def transaction(job: Job) -> Iterator[sqlite3.Connection]:
    """Do several statements as one: all committed on leaving, none when an error passes through.

    Inside another transaction of the same handle this one is part of that. What an edit reads to work out
    its rows belongs inside too, so that no other thread or program changes it in between.

    Raises
    ------
    TargetUnwritable
        When the file is read-only, locked by another program for long, or the disk is full.
    """
    with job.lock:
        if job.connection.in_transaction:  # begun by this thread, which holds the lock
            yield job.connection
            return
        try:
            job.connection.execute("BEGIN IMMEDIATE")
            try:
                yield job.connection
            except BaseException:
                job.connection.rollback()
                raise
            job.connection.commit()
        except sqlite3.OperationalError as error:
            if job.connection.in_transaction:
                job.connection.rollback()
            raise TargetUnwritable(
                f"The job file {job.path} cannot be written ({error}). The change was not made; what was "
                "there before is whole. Check that the file is writable and that the disk has room."
            ) from error


def create_job(path: Path) -> Job:
    """Make a new, empty job file at `path` and open it.

    Raises
    ------
    TargetUnwritable
        When a file of that name is there already, or the folder is missing or read-only.

    Examples
    --------
    >>> import tempfile
    >>> folder = tempfile.TemporaryDirectory()
    >>> with create_job(Path(folder.name) / "set.tracer") as job:
    ...     job.path.name
    'set.tracer'
    >>> folder.cleanup()
    """
    path = Path(path)
    if path.exists():
        raise TargetUnwritable(
            f"{path} is there already and was left untouched. Open it, or choose another name."
        )
    # The half-made file bears another name until it is whole.
    part = path.with_name(f".{path.name}.{uuid4().hex[:8]}.part")
    try:
        with closing(sqlite3.connect(part, isolation_level=None)) as connection:
            _set_up(connection)
            migrate(connection)
        # A hard link fails when the name was taken meanwhile, where a rename would overwrite.
        try:
            path.hardlink_to(part)
        except FileExistsError:
            raise
        except OSError:
            part.rename(path)
    except (OSError, sqlite3.Error) as error:
        raise TargetUnwritable(
            f"No job file could be made at {path} ({error}). Nothing was written; choose a folder that "
            "is writable."
        ) from error
    finally:
        part.unlink(missing_ok=True)
    return open_job(path)


def open_job(path: Path) -> Job:
    """Open a job file, bringing one of an older version up to date.

    Raises
    ------
    FileMissing, NotAJob, DamagedJob, JobTooNew, TargetUnwritable
        In each case the file is left untouched.
    """
    path = Path(path)
    _check_header(path)
    connection = sqlite3.connect(path, isolation_level=None, check_same_thread=False, timeout=10.0)
    try:
        _set_up(connection)
        _check_whole(connection, path)
        migrate(connection)
    except sqlite3.OperationalError as error:
        connection.close()
        raise TargetUnwritable(
            f"The job file {path} cannot be used ({error}). It was left untouched. Close any other program "
            "that has it open, and check that it is not read-only."
        ) from error
    except sqlite3.DatabaseError as error:
        connection.close()
        raise DamagedJob(
            f"The job file {path} is damaged ({error}) and was left untouched. Go back to a copy of it, or "
            "start a new job from the scan."
        ) from error
    except BaseException:
        connection.close()
        raise
    return Job(connection, path)


def _set_up(connection: sqlite3.Connection) -> None:
    """Keep the rollback journal: after each commit the one file holds everything, with no -wal beside."""
    connection.execute("PRAGMA journal_mode = DELETE")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA synchronous = FULL")


def _check_header(path: Path) -> None:
    """Refuse, without opening it as a database, a file that is no job or is too new."""
    try:
        with path.open("rb") as stream:
            head = stream.read(100)
    except OSError as error:
        raise FileMissing(
            f"The job file {path} cannot be read ({error.strerror}). Check the name."
        ) from error
    application = int.from_bytes(head[_APPLICATION_ID_AT : _APPLICATION_ID_AT + 4], "big")
    if head[:16] != _HEADER or len(head) < 100 or application != APPLICATION_ID:
        raise NotAJob(
            f"{path} is no job file and was left untouched. Open a scan, or a job made by this program."
        )
    version = int.from_bytes(head[_USER_VERSION_AT : _USER_VERSION_AT + 4], "big")
    if version > NEWEST:
        raise JobTooNew(
            f"The job file {path} is of version {version}; this program knows versions up to {NEWEST}. It "
            "was left untouched. Bring the program up to date to open it."
        )


def _check_whole(connection: sqlite3.Connection, path: Path) -> None:
    found = [row[0] for row in connection.execute("PRAGMA quick_check(3)")]
    if found != ["ok"]:
        raise DamagedJob(
            f"The job file {path} is damaged ({'; '.join(found)}) and was left untouched. Go back to a copy "
            "of it, or start a new job from the scan."
        )
