"""The price guide of a member, for everybody: what may be asked, and the answer as data.

`guide_on` is the seam: every form of the guide (guide_forms.py) is made from its answer.
"""

from datetime import date
from typing import Literal

from msgspec import Struct

from evenhang.api.calls import Call, Digest, RulesUsed, resolve, used
from evenhang.engine.guide import Guide, guide_of
from evenhang.engine.money import Currency
from evenhang.engine.works import Name

Form = Literal["csv", "embed", "html", "json", "jsonld", "svg"]
GuideLanguage = Literal["de", "en", "es", "fr", "ja"]


class GuideQuery(Struct, frozen=True, forbid_unknown_fields=True, omit_defaults=True):
    """Which part of the guide, in which currency, on which day, in which form and language."""

    medium: Name | None = None
    currency: Currency | None = None
    form: Form | None = None
    lang: GuideLanguage | None = None
    as_of: date | None = None
    rules_digest: Digest | None = None


class GuideAnswer(Struct, frozen=True):
    """The price guide. Only what anybody may see."""

    member: str
    as_of: date
    rules: RulesUsed
    guide: Guide


def guide_on(call: Call) -> GuideAnswer:
    """The guide as it stands on the day, in the currency asked for."""
    rules, on = resolve(call)
    asked: GuideQuery = call.body
    return GuideAnswer(rules.member, on, used(rules), guide_of(rules, on, asked.medium, asked.currency))
