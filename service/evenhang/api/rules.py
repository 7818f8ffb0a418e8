"""Rules: what is in force on a day and where each value comes from, any loaded set by digest, and checking files before they are served.

Knows the rule book; what a key of a rule means is the engine's affair.
"""

from datetime import date
from typing import Annotated

from msgspec import Meta, Struct

from evenhang.api.calls import SAFE, Call, Digest, Operation, RulesUsed, resolve, used
from evenhang.api.problems import Declined
from evenhang.engine.rules import RuleSet
from evenhang.engine.saying import say
from evenhang.rulebook.book import check_files
from evenhang.rulebook.folder import RuleFile
from evenhang.rulebook.layers import Fault
from evenhang.rulebook.resolve import RuleValue

MOST_SENT = 200  # files in one request
MOST_TEXT = 100_000  # characters in one of them


class RulesQuery(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """The day, and a pin."""

    as_of: date | None = None
    rules_digest: Digest | None = None


class RulesAnswer(Struct, frozen=True):
    """A member's rules in force on a day, every value with its origin."""

    member: str
    as_of: date
    rules: RulesUsed
    values: tuple[RuleValue, ...]


class RuleSetAnswer(Struct, frozen=True):
    """One loaded rule set, whatever the day: under its digest it never changes, but for the day on which a later one ends it."""

    member: str
    rules: RulesUsed
    values: tuple[RuleValue, ...]


class SentFile(Struct, frozen=True, forbid_unknown_fields=True):
    """A rule file: where it would lie in the rule folder, and its text."""

    file: Annotated[str, Meta(max_length=200, examples=["house/2026-01-01.toml"])]
    text: Annotated[str, Meta(max_length=MOST_TEXT)]


class RuleCheckRequest(Struct, frozen=True, forbid_unknown_fields=True):
    """A whole rule folder, file by file."""

    files: Annotated[tuple[SentFile, ...], Meta(min_length=1, max_length=MOST_SENT)]


class CheckedMember(Struct, frozen=True):
    """The rule sets that these files would make of one member, in the order of their days."""

    member: str
    rule_sets: tuple[RulesUsed, ...]


class RuleCheckAnswer(Struct, frozen=True):
    """What a start with these files would say: refused or not, every fault and every warning."""

    accepted: bool
    faults: tuple[Fault, ...]
    members: tuple[CheckedMember, ...]


def read_rules(call: Call) -> RulesAnswer:
    """The rules in force on the day."""
    rules, on = resolve(call)
    return RulesAnswer(rules.member, on, used(rules), call.book.values(rules))


def read_rule_set(call: Call) -> RuleSetAnswer:
    """The rule set with that digest. Declined (404) for one that is not loaded, or of a member that the key may not see."""
    rules: RuleSet | None = call.book.by_digest.get(call.path["digest"])
    if rules is None or not call.access.sees(rules.member):
        raise Declined(404, say("No rule set with this digest is loaded."))
    return RuleSetAnswer(rules.member, used(rules), call.book.values(rules))


def check_rules(call: Call) -> RuleCheckAnswer:
    """Everything that a start with these files would say."""
    asked: RuleCheckRequest = call.body
    checked = check_files(RuleFile(sent.file, sent.text.encode("utf-8", "surrogatepass")) for sent in asked.files)
    sets = checked.book.segments if checked.book is not None else {}
    members = tuple(CheckedMember(member, tuple(map(used, rules))) for member, rules in sorted(sets.items()))
    return RuleCheckAnswer(checked.book is not None, checked.faults, members)


RULES = Operation(
    "readRules",
    "GET",
    "/members/{member}/rules",
    "Read the rules in force",
    "The member's rules in force on a day, each value with the file that set it and since when.",
    (RulesAnswer,),
    read_rules,
    query=RulesQuery,
    scope="books",
    cache="private, no-cache",
)
RULE_SETS = Operation(
    "readRuleSet",
    "GET",
    "/rule-sets/{digest}",
    "Read a rule set by its digest",
    "Any loaded rule set, in force or not, by the digest that an answer names.",
    (RuleSetAnswer,),
    read_rule_set,
    scope="books",
    cache="private, no-cache",
)
RULE_CHECKS = Operation(
    "checkRules",
    "POST",
    "/rule-checks",
    "Check rule files before they are served",
    "Checks a whole rule folder as at start and says everything that is wrong with it, with file, key and line." + SAFE,
    (RuleCheckAnswer,),
    check_rules,
    RuleCheckRequest,
    scope="steward",
    long=True,
)
