"""Choices: what a front desk or a shop's page may ask of a member, in public words.

Knows no prices; the guide, a price and a quote have those.
"""

from datetime import date

from msgspec import Struct

from evenhang.api.calls import Call, Digest, Operation, RulesUsed, resolve, used
from evenhang.engine.choices import Choices, choices_of


class ChoicesQuery(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """The day."""

    as_of: date | None = None
    rules_digest: Digest | None = None


class ChoicesAnswer(Struct, frozen=True):
    """What may be asked, under the rules of the day."""

    member: str
    as_of: date
    rules: RulesUsed
    choices: Choices


def choices(call: Call) -> ChoicesAnswer:
    """The choices on the day."""
    rules, on = resolve(call)
    return ChoicesAnswer(rules.member, on, used(rules), choices_of(rules))


CHOICES = Operation(
    "listChoices",
    "GET",
    "/members/{member}/choices",
    "What may be asked of a member",
    "What a form needs to offer: the member's media and what a work of each must say to be priced, grades, extras, and the items beside the"
    " art that a price can cover. No rates, factors or costs.",
    (ChoicesAnswer,),
    choices,
    query=ChoicesQuery,
    cache="public, max-age=60",
)
