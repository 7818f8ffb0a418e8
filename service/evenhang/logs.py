"""One line for each event: what the service did, for whom, how long it took. Bodies, queries and keys stay out.

JSON for whoever collects them, plain words for a person at a terminal.

Knows the records of logging; configures nothing but the lines' form.
"""

import json
import logging
from datetime import UTC, datetime
from typing import Any

from evenhang.api.asked import Asked


class JsonLines(logging.Formatter):
    """A record as a line of JSON; a request's path is cut, its query is left out: works and prices are nobody's business."""

    def format(self, record: logging.LogRecord) -> str:
        line: dict[str, Any] = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname.lower(),
            "log": record.name,
            "event": record.getMessage(),
        }
        asked = getattr(record, "asked", None)
        if isinstance(asked, Asked):
            line |= _request(asked)
        line |= {name: getattr(record, name) for name in ("request_id", "route", "ms") if hasattr(record, name)}
        if record.exc_info:
            line["fault"] = self.formatException(record.exc_info)
        return json.dumps(line, ensure_ascii=True)


class PlainLines(logging.Formatter):
    """The same events for a person who watches: the level where it is not the usual one, and a request in a few words."""

    def format(self, record: logging.LogRecord) -> str:
        said = record.getMessage()
        asked = getattr(record, "asked", None)
        if isinstance(asked, Asked):
            done = _request(asked)
            asked_for = f"{done['method']} {done['path']}".encode("unicode_escape").decode()  # a caller's bytes must not steer the terminal
            said = f"{asked_for} {done['status']}, {getattr(record, 'ms', '?')} ms"
        if record.levelno != logging.INFO:
            said = f"{record.levelname.lower()}: {said}"
        return f"{said}\n{self.formatException(record.exc_info)}" if record.exc_info else said


def _request(asked: Asked) -> dict[str, Any]:
    path = asked.path[:200].decode("latin-1")
    return {
        "request_id": asked.request_id,
        "method": asked.method[:20],
        "path": path,
        "route": asked.route,
        "status": asked.status,
        "client": asked.client,
        "key": asked.key,
    }


def log_config(*, requests: bool = True, plain: bool = False) -> dict[str, Any]:
    """The configuration of logging for a served app: everything to standard error, a line each; `requests` for one a request."""
    level = "INFO" if requests else "WARNING"
    form = PlainLines if plain else JsonLines
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"lines": {"()": form}},
        "handlers": {"stderr": {"class": "logging.StreamHandler", "formatter": "lines", "stream": "ext://sys.stderr"}},
        "root": {"level": "INFO", "handlers": ["stderr"]},
        "loggers": {"evenhang.access": {"level": level}, "uvicorn": {"level": "INFO"}},
    }
