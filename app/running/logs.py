"""Lines of the log as JSON, for programs that read logs (SILLBOOK_LOG=json).

One object a line, whatever is in the message: nobody writes lines of their own into it.
"""

import json
import logging
import time
from typing import Any


class JsonLines(logging.Formatter):
    """Formats a record as one line of JSON, in ASCII."""

    def format(self, record: logging.LogRecord) -> str:
        """Return {"at", "level", "name", "says"}, and "error" where there was one."""
        at = time.strftime("%Y-%m-%dT%H:%M:%S", time.gmtime(record.created))
        line: dict[str, Any] = {
            "at": f"{at}.{int(record.msecs):03}Z",
            "level": record.levelname.lower(),
            "name": record.name,
            "says": record.getMessage(),
        }
        if record.exc_info:
            line["error"] = self.formatException(record.exc_info)
        return json.dumps(line)


def start_logs(kind: str) -> None:
    """Have the log written to stderr, as text or as JSON."""
    handler = logging.StreamHandler()
    plain = logging.Formatter("%(asctime)s %(name)s %(levelname)s %(message)s")
    handler.setFormatter(JsonLines() if kind == "json" else plain)
    root = logging.getLogger()
    if not root.handlers:
        root.addHandler(handler)
    # who came in, was refused, was shut out: what is noted of access is always written
    logging.getLogger("sillbook.access").setLevel(logging.INFO)
