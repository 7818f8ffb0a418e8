"""Why the engine declines a question.

It knows nothing of HTTP: one table at the edge turns each refusal into a problem document.

    Refusal
      Unknown        a name these rules do not have (medium, grade, extra, cost, outlet, format)
      Missing        something the rules need and the work does not say
      Contradictory  two things were said that cannot both hold
      OutOfRange     a value this rule cannot take (canvas number 0 under a power rule, say)
      NotOffered     the member's rules have no terms for this (works to order, sets, editions of that medium)
      Unreachable    no price can bring the wanted figure
      NotInForce     the member has no rules on that day
      RulesMoved     the pinned rule set is not the one in force
      NoOfferKey     no key of the house signs offers on that day
      Garbled        a token that is no sealed offer at all
"""

from typing import ClassVar, Self

from evenhang.engine.saying import reckon, say

# What a name can be of, in words; a kind that is not here is named as it is.
KINDS = {
    "medium": say("medium"),
    "grade": say("grade"),
    "extra": say("extra"),
    "cost": say("cost"),
    "outlet": say("outlet"),
    "format": say("format"),
    "listed format": say("listed format"),
    "currency": say("currency"),
    "exchange rate": say("exchange rate"),
    "place": say("place"),
}


class Refusal(Exception):
    """The engine cannot answer; says what is wrong, where, and what would mend it.

    `pointer` is a JSON pointer relative to the value that was handed in ("" is the value itself).
    """

    code: ClassVar[str] = "refused"

    def __init__(self, detail: str, pointer: str = "", cure: str = "") -> None:
        super().__init__(detail)
        self.detail = detail
        self.pointer = pointer
        self.cure = cure

    def under(self, prefix: str) -> Self:
        """The same refusal, its pointer seen from further out."""
        self.pointer = prefix + self.pointer
        return self

    @property
    def sentence(self) -> str:
        """Detail and cure as one text for people."""
        return reckon("{detail} {cure}", detail=self.detail, cure=self.cure) if self.cure else self.detail


class Unknown(Refusal):
    """A name that these rules do not have."""

    code = "unknown-name"

    @classmethod
    def name(cls, kind: str, name: str, known: object, pointer: str) -> Self:
        """An unknown `kind` called `name`, with the names that would do."""
        names = ", ".join(sorted(map(str, known))) if isinstance(known, (dict, list, tuple, set, frozenset)) else ""
        what = KINDS.get(kind, kind)
        cure = say("Known here: {names}.", names=names) if names else say("These rules have no {kind} at all.", kind=what)
        return cls(say('No {kind} "{name}" in these rules.', kind=what, name=name), pointer, cure)


class Missing(Refusal):
    """Something that the rules need and the work does not say."""

    code = "missing-figure"


class Contradictory(Refusal):
    """Two things were said that cannot both hold."""

    code = "contradictory-request"


class OutOfRange(Refusal):
    """A value that this rule cannot take."""

    code = "out-of-range"


class TooDear(OutOfRange):
    """A price of more digits than an amount may have."""


class NotOffered(Refusal):
    """The member's rules have no terms for what is asked."""

    code = "not-offered"


class Unreachable(Refusal):
    """No price can bring the wanted figure."""

    code = "unreachable-target"


class NotInForce(Refusal):
    """The member has no rules on that day."""

    code = "no-rules-in-force"


class RulesMoved(Refusal):
    """The pinned rule set is not the one in force."""

    code = "rules-moved"


class NoOfferKey(Refusal):
    """No key of the house signs offers on that day."""

    code = "no-offer-key"


class Garbled(Refusal):
    """A token that is no sealed offer at all: not one that was changed, which is an answer."""

    code = "garbled-token"
