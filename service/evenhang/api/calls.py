"""What every operation shares: the call, the row of the contract, and the rules in force for it."""

from collections.abc import Callable
from datetime import date
from typing import Annotated, Any, Literal

from msgspec import Meta, Struct

from evenhang.api.access import EVERYTHING, Access, Scope
from evenhang.api.house import House
from evenhang.api.limits import MOST_BYTES
from evenhang.api.problems import Declined
from evenhang.api.replies import JSON
from evenhang.engine.refusals import RulesMoved
from evenhang.engine.rules import RuleSet
from evenhang.rulebook.book import RuleBook
from evenhang.sealing.keys import Seals

Digest = Annotated[str, Meta(pattern="^[0-9a-f]{64}$", max_length=64)]
SAFE = " Changes nothing and is safe to repeat."


class RulesUsed(Struct, frozen=True):
    """The rule set behind an answer."""

    digest: Digest
    effective_from: date
    effective_until: date | None


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
    `limited` rows count against the caller's rate.
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


def resolve(call: Call) -> tuple[RuleSet, date]:
    """The rules that answer this call, and its day. Declined (404) for no such member, RulesMoved for a pin that is not in force."""
    on = call.body.as_of or call.today
    if call.member not in call.book.segments:
        raise Declined(404, "There is no such member.")
    rules = call.book.in_force(call.member, on)
    pinned = call.body.rules_digest
    if pinned is not None and pinned != rules.digest:
        raise RulesMoved("Another rule set is in force on that day.", "/rules_digest", f"In force: {rules.digest}.")
    return rules, on


def used(rules: RuleSet) -> RulesUsed:
    return RulesUsed(rules.digest, rules.effective_from, rules.effective_until)
