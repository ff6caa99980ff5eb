"""Who has a folder of data: a lock on a file in it, which the system drops when we end."""

import fcntl
import os
from pathlib import Path

from app.core.errors import RefusedError
from app.core.quantity.messages import Msg


class ProcessLock:
    """Held from making to release; raises RefusedError 'database-in-use' where another has it.

    shared: by servers of one PostgreSQL, which share the folder as well.
    """

    def __init__(self, database: Path, shared: bool = False) -> None:
        path = database.with_name(database.name + ".lock")
        self._file: int | None = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
        try:
            kind = fcntl.LOCK_SH if shared else fcntl.LOCK_EX
            fcntl.flock(self._file, kind | fcntl.LOCK_NB)
        except OSError as error:
            self.release()
            raise RefusedError(
                "database-in-use",
                Msg("Another Sillbook is using {path}. Stop it first.", path=str(database)),
            ) from error

    def release(self) -> None:
        """Let go; a second call does nothing."""
        if self._file is not None:
            os.close(self._file)
            self._file = None
