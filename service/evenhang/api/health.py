"""Whether the service lives and is ready, and the contract itself: addresses outside the contract.

Knows the rule book's digests; knows no rule.
"""

import functools
import os
from collections.abc import Callable

from msgspec import Struct

from evenhang.api.calls import Call, Operation
from evenhang.api.contract import contract_bytes
from evenhang.api.problems import Declined
from evenhang.api.replies import Reply
from evenhang.rulebook.shelf import RulesHealth


class Liveness(Struct, frozen=True):
    """The process answers."""

    status: str = "ok"


class Readiness(Struct, frozen=True):
    """The rules are loaded. Two instances with the same `digest` over all rule sets give the same answers; `pid` tells them apart.

    `rules` says whether the folder now holds rules that are refused: the last good ones go on serving, so it is ready all the same.
    """

    status: str
    digest: str
    members: int
    pid: int
    rules: RulesHealth | None = None


def live(call: Call) -> Liveness:
    """That it runs."""
    return Liveness()


def ready(call: Call) -> Readiness:
    """That it answers, and from which rules. Declined (503) once the service is about to stop."""
    if call.house is not None and call.house.draining:
        raise Declined(503, "The service is about to stop.", headers={"Retry-After": "5"})
    shelf = call.house.shelf if call.house is not None else None
    return Readiness("ok", call.book.digest, len(call.book.segments), os.getpid(), shelf.health if shelf is not None else None)


@functools.cache
def _document() -> bytes:
    return contract_bytes()


def document(call: Call) -> Reply:
    """The contract, as it is committed."""
    return Reply(_document())


def _probe(name: str, path: str, answer: type, run: Callable[[Call], Struct], cache: str = "") -> Operation:
    return Operation(name, "GET", path, "", "", (answer,), run, base="", cache=cache, limited=False)


PROBES = (
    _probe("live", "/health/live", Liveness, live),
    _probe("ready", "/health/ready", Readiness, ready),
    _probe("document", "/openapi.json", Reply, document, "public, max-age=300"),
)
