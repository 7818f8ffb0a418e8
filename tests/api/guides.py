"""A guide with every kind of row, for the tests of its forms."""

from datetime import date
from decimal import Decimal

from evenhang.api.calls import RulesUsed
from evenhang.api.guide import GuideAnswer
from evenhang.engine.formats import ShownSize
from evenhang.engine.guide import Guide, GuideGap, GuideMedium, GuideRow
from evenhang.engine.money import Money

EVIL = "</script><script>alert(1)</script>\"'&<img src=x onerror=alert(2)>\u202e"


def euros(amount: str) -> Money:
    return Money(Decimal(amount), "EUR")


def guide_titled(title: str) -> GuideAnswer:
    """A guide with every kind of row, each title the same."""
    flat = GuideRow("small", title, ShownSize("30", "40", None, "cm"), euros("1250.00"), euros("1310.00"))
    bare = GuideRow(None, title, ShownSize("12.5", None, None, "in"), euros("40.00"), None)
    media = (
        GuideMedium("oil", title, "area", "Frame", (flat,), (GuideGap("huge", "out-of-range", title),)),
        GuideMedium("vessel", title, "height", None, (bare,), ()),
        GuideMedium("mural", title, "hours", None, (), (), "Ask."),
    )
    guide = Guide(
        title, title, "EUR", ("EUR", "JPY"), None, None, "included", "10", (title, "Fair"), date(2026, 4, 1), date(2027, 4, 1), title, media
    )
    return GuideAnswer("m", date(2026, 5, 1), RulesUsed("ab" * 32, date(2026, 4, 1), None), guide)
