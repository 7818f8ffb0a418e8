"""Answers pulled from the service, each kept on disk with its ETag: asked again by it, and good for later when the service is away.

Knows no pages. What is kept is only what the service said, and when.
"""

import hashlib
import json
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx

Json = dict[str, Any]
Look = Callable[[Any], bool]  # whether an answer looks like one
PASSING = frozenset({429, 500, 502, 503, 504})
TRIES = 3
LONGEST_PAUSE = 60.0  # seconds: a busy service that asks for more counts as away


class Away(Exception):
    """The service cannot be reached and nothing that it said before is kept."""


class Declined(Exception):
    """The service does not answer this, in its own words; `pointer` is the part of the question that it points at, if any."""

    def __init__(self, status: int, why: str, pointer: str = "") -> None:
        super().__init__(why)
        self.status = status
        self.pointer = pointer


@dataclass(frozen=True)
class Pulled:
    """What the service said, and the moment when it last did."""

    answer: Json
    checked_at: datetime
    fresh: bool


class Service:
    """One service, its key, and the folder of what it said. `away` is True once it could not be reached."""

    def __init__(self, base: str, key: str, kept: Path, patience: float = 10) -> None:
        headers = {"Authorization": f"Bearer {key}"} if key else {}
        outside = httpx.URL(base).host not in ("127.0.0.1", "localhost", "::1")  # a proxy is for the world outside
        self.http = httpx.Client(base_url=f"{base.rstrip('/')}/v1/", headers=headers, timeout=patience, trust_env=outside)
        self.kept = kept
        self.away = False
        self.counts = {"new": 0, "unchanged": 0, "kept": 0}

    def close(self) -> None:
        self.http.close()

    def read(self, path: str, looks: Look) -> Pulled:
        """What is at an address; what does not look like it is no answer, and is not kept."""
        return self._pull("GET", path, None, looks)

    def ask(self, path: str, question: Json, looks: Look) -> Pulled:
        """The answer to a question. Each is safe to repeat: it changes nothing."""
        return self._pull("POST", path, question, looks)

    def _pull(self, method: str, path: str, question: Json | None, looks: Look) -> Pulled:
        name = hashlib.sha256(json.dumps([str(self.http.base_url), method, path, question], sort_keys=True).encode()).hexdigest()
        before = self._kept(name, looks)
        answer = None if self.away else self._send(method, path, question, (before or {}).get("etag", ""))
        same = answer is not None and answer.status_code == 304 and before is not None
        said = before["answer"] if same and before else _said(answer, looks)
        if answer is None or said is None:
            self.away = True
            if before is None:
                raise Away(f"{self.http.base_url} cannot be reached, and nothing is kept of {path.partition('?')[0]}")
            self.counts["kept"] += 1
            return Pulled(before["answer"], datetime.fromisoformat(before["checked_at"]), fresh=False)
        self.counts["unchanged" if same else "new"] += 1
        now = datetime.now(UTC).replace(microsecond=0)
        self._keep(name, {"path": path, "etag": answer.headers.get("etag", ""), "checked_at": now.isoformat(), "answer": said})
        return Pulled(said, now, fresh=True)

    def _send(self, method: str, path: str, question: Json | None, etag: str) -> httpx.Response | None:
        """The settled answer; None where the service is away, of which nobody else then waits to hear."""
        for tried in range(TRIES):
            pause = 0.2 * 2**tried
            try:
                answer = self.http.request(method, path, json=question, headers={"If-None-Match": etag} if etag else {})
            except httpx.TransportError:
                pass
            else:
                if answer.is_success or answer.status_code == 304:
                    return answer
                if answer.status_code not in PASSING and not answer.is_redirect:  # the service sends nobody elsewhere
                    raise _declined(answer)
                asked = answer.headers.get("retry-after", "")
                pause = max(pause, float(asked) if asked.isdigit() else 0)
            if tried == TRIES - 1 or pause > LONGEST_PAUSE:
                break
            time.sleep(pause)
        return None

    def _kept(self, name: str, looks: Look) -> Json | None:
        """What was said before; nothing where the file is none, or not whole."""
        try:
            said = json.loads((self.kept / f"{name}.json").read_bytes())
            datetime.fromisoformat(said["checked_at"])
            return dict(said) if looks(said["answer"]) else None
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def _keep(self, name: str, said: Json) -> None:
        self.kept.mkdir(parents=True, exist_ok=True)
        beside = self.kept / f".{name}.part"
        beside.write_text(json.dumps(said, ensure_ascii=False))
        beside.replace(self.kept / f"{name}.json")


def _said(answer: httpx.Response | None, looks: Look) -> Json | None:
    """What the answer says; None where it is not the service's."""
    try:
        said = answer.json() if answer is not None else None
    except ValueError:
        return None
    return said if looks(said) else None


def _declined(answer: httpx.Response) -> Declined:
    """The service's words and where they point: its first fault, else its problem."""
    try:
        problem = answer.json()
        fault = (problem.get("errors") or [problem])[0]
        return Declined(answer.status_code, str(fault.get("detail", answer.status_code)), str(fault.get("pointer") or ""))
    except (ValueError, AttributeError, TypeError, LookupError):
        return Declined(answer.status_code, f"it answers {answer.status_code}")
