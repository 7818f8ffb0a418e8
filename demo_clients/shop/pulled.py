"""Answers pulled from the service, each kept on disk with its ETag: asked again by it, and good for later when the service is away.

Knows no pages. What is kept is only what the service said, and when.
"""

import hashlib
import json
import time
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import httpx

Json = dict[str, Any]
PASSING = frozenset({429, 500, 502, 503, 504})
TRIES = 3
LONGEST_PAUSE = 60.0  # seconds: a busy service that asks for more counts as away


class Away(Exception):
    """The service cannot be reached and nothing that it said before is kept."""


class Declined(Exception):
    """The service does not answer this, in its own words."""

    def __init__(self, status: int, why: str) -> None:
        super().__init__(why)
        self.status = status


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

    def read(self, path: str) -> Pulled:
        """What is at an address."""
        return self._pull("GET", path, None)

    def ask(self, path: str, question: Json) -> Pulled:
        """The answer to a question. Each is safe to repeat: it changes nothing."""
        return self._pull("POST", path, question)

    def _pull(self, method: str, path: str, question: Json | None) -> Pulled:
        name = hashlib.sha256(json.dumps([str(self.http.base_url), method, path, question], sort_keys=True).encode()).hexdigest()
        before = self._kept(name)
        answer = None if self.away else self._send(method, path, question, (before or {}).get("etag", ""))
        if answer is None:
            if before is None:
                raise Away(f"{self.http.base_url} cannot be reached, and nothing is kept of {path.partition('?')[0]}")
            self.counts["kept"] += 1
            return Pulled(before["answer"], datetime.fromisoformat(before["checked_at"]), fresh=False)
        same = answer.status_code == 304 and before is not None
        self.counts["unchanged" if same else "new"] += 1
        said = before["answer"] if same and before else answer.json()
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
                if answer.status_code not in PASSING:
                    raise Declined(answer.status_code, _why(answer))
                asked = answer.headers.get("retry-after", "")
                pause = max(pause, float(asked) if asked.isdigit() else 0)
            if tried == TRIES - 1 or pause > LONGEST_PAUSE:
                break
            time.sleep(pause)
        self.away = True
        return None

    def _kept(self, name: str) -> Json | None:
        """What was said before; nothing where the file is none, or not whole."""
        try:
            said = json.loads((self.kept / f"{name}.json").read_bytes())
            datetime.fromisoformat(said["checked_at"])
            return dict(said) if isinstance(said["answer"], dict) else None
        except (OSError, ValueError, KeyError, TypeError):
            return None

    def _keep(self, name: str, said: Json) -> None:
        self.kept.mkdir(parents=True, exist_ok=True)
        beside = self.kept / f".{name}.part"
        beside.write_text(json.dumps(said, ensure_ascii=False))
        beside.replace(self.kept / f"{name}.json")


def _why(answer: httpx.Response) -> str:
    """The service's words: its first fault, else its problem."""
    try:
        problem = answer.json()
        return str((problem.get("errors") or [problem])[0].get("detail", answer.status_code))
    except (ValueError, AttributeError):
        return f"it answers {answer.status_code}"
