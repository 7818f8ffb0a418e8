"""What every operation shares: the call, the row of the contract, and the rules in force for it.

Knows the rule book and the refusals at the edge, no bytes and no framework.
"""

import re
from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

from evenhang.api.access import EVERYTHING, Access, Scope, check_scope
from evenhang.api.faults import pointer_to
from evenhang.api.house import House
from evenhang.api.limits import MOST_BYTES
from evenhang.api.problems import Declined, ProblemError
from evenhang.api.replies import JSON
from evenhang.engine.refusals import RulesMoved
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import say
from evenhang.rulebook.book import TRY, BadRules, RuleBook
from evenhang.rulebook.layers import Fault
from evenhang.rulebook.limits import MOST_TRIED, overgrown
from evenhang.sealing.keys import Seals

Digest = Annotated[str, Meta(pattern="^[0-9a-f]{64}$", max_length=64)]
MOST_ERRORS = 100  # faults of a `try` in one problem document
# A last layer of rules in a request; read with the checker of the files, so that its faults carry their pointers.
Tried = Annotated[dict[str, Any], Meta(max_length=MOST_TRIED, extra_json_schema={"x-free-keys": "those of a rule file"})] | None
SAFE = " Changes nothing and is safe to repeat."


class RulesUsed(Struct, frozen=True):
    """The rule set behind an answer; `tried` where the request laid rules of its own on top."""

    digest: Digest
    effective_from: date
    effective_until: date | None
    tried: bool = False


class Call(Struct, frozen=True):
    """One request, read: the rule book, the member of the path, today, and the body (of a GET: its query).

    `path` holds the parameters of the path by name; `language` is the caller's, a tag of BCP 47; `access` what its key reaches;
    `media_type` the kind of answer that was chosen from the row's `media`; `content_type` the kind of body that came. A body of
    another kind than JSON is a binary file at its start, which `run` reads and closes. `house` is what the app was put together from.
    """

    book: RuleBook
    member: str
    today: date
    body: Any = None
    path: dict[str, str] = {}
    language: str = "en"
    access: Access = EVERYTHING
    media_type: str = JSON
    content_type: str = JSON
    house: House | None = None

    @property
    def seals(self) -> Seals:
        """The keys of offers; none without a house."""
        return Seals() if self.house is None else self.house.seals


class Operation(Struct, frozen=True):
    """One row of the contract. `request` is the body's struct, `query` the struct of a GET's parameters; `scope` is what a key needs.

    `base` stands before `path`. `media` are the kinds of answer by Accept, the default first, and `takes` the kinds of body.
    `cache` is the Cache-Control of a 200, which then has a strong ETag; "" for answers that nobody keeps.
    `most_bytes` bounds a body; of JSON, which is read whole, MOST_BYTES as well. `limited` rows count against the caller's rate.
    `long` ones are worked on beside the loop however little is asked: what is little to send may be much to do.
    `deprecated_on` and `sunset_on` are said in each answer of an operation that is about to go.
    """

    id: str
    method: Literal["GET", "POST"]
    path: str
    summary: str
    description: str
    answer: tuple[type, ...]
    run: Callable[[Call], Any]
    request: type | None = None
    query: type | None = None
    scope: Scope = "public"
    base: str = "/v1"
    media: tuple[str, ...] = (JSON,)
    takes: tuple[str, ...] = (JSON,)
    cache: str = ""
    most_bytes: int = MOST_BYTES
    limited: bool = True
    long: bool = False
    deprecated_on: date | None = None
    sunset_on: date | None = None


def resolve(call: Call) -> tuple[RuleSet, date]:
    """The rules that answer this call, its `try` laid on top, and its day.

    Declined (404) for no such member, (403) for a `try` without the books scope, (422) for one that is refused or too large;
    RulesMoved for a pin that is not in force. A pin names the rules below the `try`.
    """
    on = call.body.as_of or call.today
    if call.member not in call.book.segments:
        raise Declined(404, say("There is no such member."))
    rules = call.book.in_force(call.member, on)
    pinned = call.body.rules_digest
    if pinned is not None and pinned != rules.digest:
        detail = say("Another rule set is in force on that day.")
        raise RulesMoved(detail, "/rules_digest", say("In force: {digest}.", digest=rules.digest))
    return _with_try(call, rules), on


def rules_on(call: Call, on: date) -> RuleSet:
    """The member's rules on any other day, the call's `try` laid on top. NotInForce before the first."""
    return _with_try(call, call.book.in_force(call.member, on))


def _with_try(call: Call, rules: RuleSet) -> RuleSet:
    says = getattr(call.body, "try_", None)
    if not says:
        return rules
    check_scope(call.access, "books", "#/try")
    if reason := overgrown(says, MOST_TRIED):
        raise Declined(422, say("The tried rules are too much."), (ProblemError("#/try", "refused-rule", reason),), kind="refused-rules")
    try:
        return call.book.tried(rules, _without_nulls(says))
    except BadRules as bad:
        errors = tuple(ProblemError(_pointer(f, says), "refused-rule", _detail(f)) for f in bad.faults[:MOST_ERRORS])
        raise Declined(422, say("Rules like these would not be served."), errors, kind="refused-rules") from None


def _without_nulls(says: dict[str, Any]) -> dict[str, Any]:
    """Absent and null mean the same; in a list a null is a fault like another. No deeper than a layer may be."""
    return {key: _without_nulls(value) if isinstance(value, dict) else value for key, value in says.items() if value is not None}


def _pointer(fault: Fault, says: dict[str, Any]) -> str:
    """Where in the request a fault lies: its own key, or the whole `try` where a file set the value that it no longer suits."""
    return pointer_to(["try", *(_steps(says, fault.key) if fault.file == TRY else ())])


def _steps(says: Any, key: str) -> list[str]:
    """The steps of a dotted key through what was said: a key of the request's own may hold dots and brackets itself."""
    inside = re.match(r"\[([0-9]+)\]\.?", key)
    if isinstance(says, list) and inside and int(inside[1]) < len(says):
        return [inside[1], *_steps(says[int(inside[1])], key[inside.end() :])]
    names = [name for name in says if key == name or key.startswith((f"{name}.", f"{name}["))] if isinstance(says, dict) else []
    if not names:
        return re.findall(r"[^.\[\]]+", key)
    name = max(names, key=len)
    return [name, *_steps(says[name], key[len(name) :].removeprefix("."))]


def _detail(fault: Fault) -> str:
    return fault.reason if fault.file == TRY else f"{fault.file}: {fault.key}: {fault.reason}"


def used(rules: RuleSet) -> RulesUsed:
    return RulesUsed(rules.digest, rules.effective_from, rules.effective_until, rules.tried)
