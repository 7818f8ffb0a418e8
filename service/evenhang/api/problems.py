"""The one table of problems (RFC 9457), and how a refusal becomes one.

Knows HTTP; the engine does not.
"""

from msgspec import Struct

from evenhang.engine.refusals import Contradictory, Missing, NotInForce, OutOfRange, Refusal, RulesMoved, Unknown, Unreachable


class ProblemError(Struct, frozen=True):
    """One fault in a request: where (a URI-fragment JSON pointer), which, and what would mend it."""

    pointer: str
    code: str
    detail: str


class Problem(Struct, frozen=True, omit_defaults=True):
    """An error answer, application/problem+json."""

    type: str
    title: str
    status: int
    detail: str
    errors: tuple[ProblemError, ...] = ()


TITLES = {
    400: ("malformed-request", "The request does not fit the contract"),
    404: ("not-found", "There is nothing here"),
    405: ("method-not-allowed", "This method is not offered here"),
    413: ("too-large", "The body is too large"),
    415: ("unsupported-media-type", "This kind of body is not read here"),
    500: ("internal-error", "Something went wrong on our side"),
}
# A row for every refusal of the engine; a test walks the family.
STATUS: dict[type[Refusal], int] = {
    Unknown: 422,
    Missing: 422,
    Contradictory: 422,
    OutOfRange: 422,
    Unreachable: 422,
    NotInForce: 422,
    RulesMoved: 409,
}


class Declined(Exception):
    """The edge declines a request with a problem document."""

    def __init__(self, status: int, detail: str, errors: tuple[ProblemError, ...] = (), headers: dict[str, str] | None = None) -> None:
        super().__init__(detail)
        kind, title = TITLES[status]
        self.problem = Problem(f"/problems/{kind}", title, status, detail, errors)
        self.headers = headers or {}


def problem_of(refusal: Refusal, at: str = "#") -> Problem:
    """The problem document of an engine refusal, its pointer under `at`."""
    error = ProblemError(at + refusal.pointer, refusal.code, refusal.sentence)
    return Problem(f"/problems/{refusal.code}", "These rules cannot answer", STATUS[type(refusal)], refusal.sentence, (error,))
