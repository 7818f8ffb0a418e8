"""What the front desk reads out: a tax that comes on top of a price is never left unsaid."""

from datetime import date
from decimal import Decimal as D
from types import SimpleNamespace as Made
from typing import Any

import pytest

from evenhang.api import bespoke, quotes, sets
from evenhang.api.translation import said_in
from evenhang.engine.money import money
from evenhang.engine.sets import SetOffer, SetRow

NB = "\u00a0"


def test_tax_on_top_of_a_price_is_read_out() -> None:
    price, tax = money(D("100"), "EUR"), money(D("20"), "EUR")
    assert (
        said_in(quotes._statement(price, "added", tax), "de")
        == f"Dieses Werk kostet 100,00{NB}€ zuzüglich 20,00{NB}€ Steuer, überall zum selben Preis."
    )


@pytest.mark.parametrize(
    ("kind", "listed", "price", "said"),
    [
        ("added", "900", "800", f"Zusammen kosten diese 2 Werke 800,00{NB}€ statt 900,00{NB}€, zuzüglich 160,00{NB}€ Steuer."),
        ("added", "800", "800", f"Zusammen kosten diese 2 Werke 800,00{NB}€, zuzüglich 160,00{NB}€ Steuer."),
        ("included", "900", "800", f"Zusammen kosten diese 2 Werke 800,00{NB}€ statt 900,00{NB}€."),
        ("included", "800", "800", f"Zusammen kosten diese 2 Werke 800,00{NB}€."),
    ],
)
def test_tax_on_top_of_a_set_is_read_out(kind: str, listed: str, price: str, said: str) -> None:
    singly, reduced, tax = (money(D(amount), "EUR") for amount in (listed, price, "160"))
    offer = SetOffer((SetRow("a"), SetRow("b")), "10", False, singly, None, reduced, (), "")
    assert said_in(sets._statement(offer, kind, tax), "de") == said


@pytest.mark.parametrize(
    ("kind", "said"),
    [
        (
            "added",
            f"Als Auftragsarbeit kostet dieses Werk 100,00{NB}€ zuzüglich 20,00{NB}€ Steuer. Vom Preis: "
            f"On order: 40,00{NB}€; On delivery: 60,00{NB}€. Der letzte Tag dieses Angebots ist der 2026-05-31.",
        ),
        (
            "none",
            f"Als Auftragsarbeit kostet dieses Werk 100,00{NB}€. On order: 40,00{NB}€; On delivery: 60,00{NB}€. "
            "Der letzte Tag dieses Angebots ist der 2026-05-31.",
        ),
    ],
)
def test_tax_on_top_of_a_work_to_order_is_read_out(kind: str, said: str) -> None:
    """The stages' titles are the member's own words."""

    stages = tuple(Made(title=title, amount=money(D(part), "EUR")) for title, part in (("On order", "40"), ("On delivery", "60")))
    offer: Any = Made(stages=stages, stands_last_on=date(2026, 5, 31))
    assert said_in(bespoke._statement(money(D("100"), "EUR"), kind, money(D("20"), "EUR"), offer), "de") == said
