"""The one table of problems (RFC 9457), and how a refusal becomes one.

Knows HTTP; the engine does not.
"""

from msgspec import Struct

from evenhang.api.language import DEFAULT
from evenhang.engine.refusals import Refusal
from evenhang.engine.saying import Said, say


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


class Kind(Struct, frozen=True):
    """A type of problem: the status it is sent with, its title, and for its page what causes it and what cures it."""

    status: int
    title: str
    cause: str
    cure: str


# A row for every problem by the last step of its type: first those of the edge, then one for each refusal's code; a test walks the family.
PROBLEMS: dict[str, Kind] = {
    "malformed-request": Kind(
        400,
        say("The request does not fit the contract"),
        "The body is not JSON, or a field is unknown, missing, of another type or beyond its limits.",
        "Go to where each pointer in `errors` leads and send what the contract says there; amounts are texts, never JSON numbers.",
    ),
    "not-found": Kind(
        404,
        say("There is nothing here"),
        "No operation has this address, no member this name, or the key may not see it.",
        "List the members under /v1/members and take the addresses from /openapi.json.",
    ),
    "unauthorized": Kind(
        401,
        say("A key is needed here"),
        "There is no key in the request, or none that this house knows.",
        "Send a key of the collective's as `Authorization: Bearer KEY`.",
    ),
    "forbidden": Kind(
        403,
        say("The key does not reach this far"),
        "The key is known, but lacks the scope of this operation.",
        "Ask the house for a key with the scope.",
    ),
    "method-not-allowed": Kind(
        405,
        say("This method is not offered here"),
        "The address exists, but not for this method.",
        "Use one of the methods named in `Allow`.",
    ),
    "not-acceptable": Kind(
        406,
        say("This kind of answer is not offered here"),
        "`Accept` names no kind of answer that this address gives.",
        "Leave `Accept` out, or name one of the kinds in the detail.",
    ),
    "too-large": Kind(
        413,
        say("The body is too large"),
        "The body has more bytes than are read here.",
        "Send fewer works in one request, in several requests.",
    ),
    "target-too-long": Kind(
        414,
        say("The address is too long"),
        "Path and query together are longer than is read here.",
        "Send the work in the body of a POST instead of a query.",
    ),
    "unsupported-media-type": Kind(
        415,
        say("This kind of body is not read here"),
        "The Content-Type is not one that this operation reads, its charset is not UTF-8, or the body has a content coding.",
        "Send the body in UTF-8, without a Content-Encoding, as one of the kinds in `Accept`: all take `application/json`, POST /v1/quotes"
        " takes `application/x-ndjson` as well.",
    ),
    "wrong-host": Kind(
        421,
        say("This host is not served here"),
        "The `Host` of the request is none that this service answers for.",
        "Ask under the name that the house gave you; the house lists its names in the setting `hosts`.",
    ),
    "too-many-requests": Kind(
        429,
        say("Too many requests"),
        "The key, or the address without one, has asked more often than the house lets it.",
        "Wait as many seconds as `Retry-After` says; send many works in one request.",
    ),
    "headers-too-large": Kind(
        431,
        say("The headers are too large"),
        "There are more header fields, or longer ones, than are read here.",
        "Send fewer and shorter ones.",
    ),
    "not-ready": Kind(
        503,
        say("The service is not ready"),
        "It is about to stop, or has no rules to answer from yet.",
        "Ask again as `Retry-After` says; another instance may answer at once.",
    ),
    "internal-error": Kind(
        500,
        say("Something went wrong on our side"),
        "A fault of this service.",
        "Try again; if it stays, report the request's id to the house.",
    ),
    "unknown-name": Kind(
        422,
        say("These rules have no such name"),
        "The work or sale names a medium, grade, extra, cost, outlet, format, currency or place that the rules do not have on that day.",
        "Use one of the names in the detail, or ask as of another day.",
    ),
    "missing-figure": Kind(
        422,
        say("A figure is missing"),
        "The rules need a size, an amount or hours that the request does not say.",
        "State it where the pointer leads.",
    ),
    "contradictory-request": Kind(
        422, say("Two things cannot both hold"), "The request says two things that exclude one another.", "Keep one of them."
    ),
    "out-of-range": Kind(
        422,
        say("This rule cannot take the value"),
        "The value lies outside what the member's rule can price.",
        "Send a value within its range.",
    ),
    "not-offered": Kind(
        422,
        say("This member has no terms for it"),
        "On that day the member's rules say nothing of works made to order, of sets, or of editions of that medium.",
        "Ask as of another day, ask another member, or have the house add the terms to the member's rules.",
    ),
    "unreachable-target": Kind(
        422,
        say("No price can reach this"),
        "After tax, commission, levy, fee and discount too little of the price reaches the member.",
        "Lower the discount or the wanted figure, or leave that outlet out.",
    ),
    "no-rules-in-force": Kind(
        422,
        say("No rules are in force on that day"),
        "The member's first rules, or those of the place, begin later than `as_of`, or it lies over a century after the newest.",
        "Ask as of a day for which there are rules.",
    ),
    "rules-moved": Kind(
        409,
        say("Another rule set is in force"),
        "The pinned `rules_digest` is not the one in force on that day; it is never silently replaced.",
        "Pin the digest in the detail, or leave the pin out.",
    ),
    "refused-rules": Kind(
        422,
        say("Rules like these would not be served"),
        "The rules in `try`, or what they make of the member's rules, would be refused in a file as well.",
        "Mend each value that a pointer in `errors` leads to; figures are texts.",
    ),
    "no-offer-key": Kind(
        409,
        say("This house has no key to seal with on that day"),
        "No key for offers is configured, or the first one signs from a later day.",
        "Make one with `evenhang new-offer-key` and start the service with it, or ask as of a day on which one signs.",
    ),
    "garbled-token": Kind(
        422,
        say("This is no sealed offer at all"),
        "The token is not three parts of base64url text with points between them, or longer than any offer is.",
        "Send the token whole and unchanged, as it was answered or scanned.",
    ),
}
# The problem that stands for a status where the edge or the framework declines.
OF_STATUS = {
    400: "malformed-request",
    401: "unauthorized",
    403: "forbidden",
    404: "not-found",
    405: "method-not-allowed",
    406: "not-acceptable",
    413: "too-large",
    414: "target-too-long",
    415: "unsupported-media-type",
    421: "wrong-host",
    429: "too-many-requests",
    431: "headers-too-large",
    503: "not-ready",
    500: "internal-error",
}


def plain_problem(status: int, kind: str = "") -> Problem:
    """The problem of a status, or of that `kind`, with nothing more to say."""
    name = kind or OF_STATUS[status]
    return Problem(f"/problems/{name}", PROBLEMS[name].title, status, say("{title}.", title=PROBLEMS[name].title))


def language_of_problem(problem: Problem, language: str) -> str:
    """`language`, if every text of the problem can be said in it; English otherwise, so that no answer speaks two."""
    texts = [problem.title, problem.detail, *(error.detail for error in problem.errors)]
    return language if all(isinstance(text, Said) for text in texts) else DEFAULT


class Declined(Exception):
    """The edge declines a request with a problem document; `kind` is its row in PROBLEMS where the status alone does not tell."""

    def __init__(
        self, status: int, detail: str, errors: tuple[ProblemError, ...] = (), headers: dict[str, str] | None = None, kind: str = ""
    ) -> None:
        super().__init__(detail)
        plain = plain_problem(status, kind)
        self.problem = Problem(plain.type, plain.title, status, detail, errors)
        self.headers = headers or {}


def problem_of(refusal: Refusal, at: str = "#") -> Problem:
    """The problem document of an engine refusal, its pointer under `at`."""
    error = ProblemError(at + refusal.pointer, refusal.code, refusal.sentence)
    kind = PROBLEMS[refusal.code]
    return Problem(f"/problems/{refusal.code}", kind.title, kind.status, refusal.sentence, (error,))
