"""Questions to the service: a key from the environment, one connection, and repeats while it is busy or away.

Every operation here changes nothing on the service, so that each POST may be sent again.
"""

import random
import time
from collections.abc import Callable
from datetime import UTC, datetime
from email.utils import parsedate_to_datetime
from typing import Any

import httpx

from cells import Json

PASSING = frozenset({429, 502, 503, 504})  # what goes by; 500 would only come again
FIRST_PAUSE, LONGEST_PAUSE = 0.25, 20.0


class Away(Exception):
    """The service could not be reached in time, is at fault itself, or what answers is something else."""


class NotLetIn(Exception):
    """The key is missing, unknown, or may not do this."""


class Declined(Exception):
    """The service's own words on why it does not answer this, and its pointers at the faults."""

    def __init__(self, problem: Json) -> None:
        errors = problem.get("errors") or []
        self.status: int = problem["status"]
        self.pointers: list[str] = [error["pointer"] for error in errors]
        self.why = str(errors[0]["detail"] if errors else problem["detail"])
        super().__init__(f"{self.pointers[0]}: {self.why}" if self.pointers else self.why)


class Asking:
    """Asks one service. `patience` is how many seconds in all a question may be repeated; `waiting` is told before each pause."""

    def __init__(self, base: str, key: str = "", patience: float = 60, waiting: Callable[[str], None] = lambda why: None) -> None:
        headers = {"Authorization": f"Bearer {key}"} if key else {}
        # A proxy of the environment is for the world outside, not for a service on this machine.
        outside = httpx.URL(base).host not in ("127.0.0.1", "localhost", "::1")
        self.http = httpx.Client(base_url=f"{base.rstrip('/')}/v1/", headers=headers, timeout=30, trust_env=outside)
        self.patience = patience
        self.waiting = waiting

    def __enter__(self) -> "Asking":
        return self

    def __exit__(self, *how: object) -> None:
        self.http.close()

    def ask(self, path: str, question: Json) -> Json:
        """The answer. Away, NotLetIn or Declined instead of one."""
        until = time.monotonic() + self.patience
        for tried in range(1_000):
            pause = min(LONGEST_PAUSE, FIRST_PAUSE * 2**tried) * random.uniform(0.5, 1)
            try:
                answer = self.http.post(path, json=question)
            except httpx.TransportError as lost:
                why = f"{type(lost).__name__}: {lost}"
            except httpx.DecodingError as garbled:
                raise self.no_service(str(garbled)) from None
            else:
                if answer.status_code not in PASSING:
                    return self._read(answer)
                why = f"answers {answer.status_code}"
                pause = max(pause, asked_to_wait(answer.headers.get("retry-after", "")))
            if time.monotonic() + pause > until:
                break
            self.waiting(f"{why}; once more in {pause:.1f} s")
            time.sleep(pause)
        raise Away(f"{self.http.base_url} {why}")

    def no_service(self, why: str) -> Away:
        """What is raised where something answers, but not as the service does."""
        return Away(f"what answers at {self.http.base_url} is no evenhang ({why}); say with --service where one is, without /v1")

    def _is_here(self) -> bool:
        """Whether the members have their place at this address, so that one of them may be missing and not the whole service."""
        try:
            return self.http.get("members").status_code != 404
        except httpx.TransportError:
            return True

    def _read(self, answer: httpx.Response) -> Json:
        """What a settled answer holds."""
        try:
            said: Any = answer.json()
        except ValueError:
            said = None
        if answer.status_code >= 500:
            raise Away(f"{answer.url} answers {answer.status_code}, request {answer.headers.get('x-request-id', 'without a number')}")
        if not isinstance(said, dict):
            raise self.no_service(f"{answer.status_code}, and no JSON object")
        if answer.is_success:
            return said
        if not str(said.get("type")).startswith("/problems/"):
            raise self.no_service(f"{answer.status_code}, and no problem of its kinds")
        if answer.status_code == 404 and not self._is_here():
            raise self.no_service("404")
        if answer.status_code in (401, 403):
            raise NotLetIn(said.get("detail", "The key was not accepted."))
        raise Declined(said)


def is_address(base: str) -> bool:
    """Whether a service can be asked there at all."""
    try:
        address = httpx.URL(base)
    except httpx.InvalidURL:
        return False
    return address.scheme in ("http", "https") and bool(address.host)


def asked_to_wait(said: str) -> float:
    """The seconds that a Retry-After asks for, whether it says seconds or a time (RFC 9110, section 10.2.3); 0 where it says neither."""
    if said.isascii() and said.isdigit():
        return float(said)
    try:
        return max(0.0, (parsedate_to_datetime(said) - datetime.now(UTC)).total_seconds())
    except (ValueError, TypeError):
        return 0.0
