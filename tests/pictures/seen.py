"""What the tests of the pictures share: a picture painted, or drawn and held to what every picture must be."""

import re
import xml.etree.ElementTree as ElementTree
from datetime import date
from decimal import Decimal
from typing import Any

from matplotlib.figure import Figure

from evenhang.api.pictured import voice_in
from evenhang.engine.money import Money
from evenhang.pictures.canvas import DARK, INCH, LIGHT, Drawing, drawn

ON = date(2026, 5, 1)
ENGLISH = voice_in("en")


def painted(drawing: Drawing) -> Any:
    figure = Figure((drawing.width / INCH, drawing.height / INCH), dpi=INCH)
    drawing.paint(figure)
    return figure


def euros(amount: str) -> Money:
    return Money(Decimal(amount), "EUR")


def whole(drawing: Drawing) -> str:
    """The picture, checked for what every picture must be."""
    raw = drawn(drawing)
    assert raw == drawn(drawing)
    root = ElementTree.fromstring(raw)
    assert root[1].text == drawing.description
    colours = set(re.findall("#[0-9a-f]{6}", raw.decode()))
    assert colours <= {*LIGHT, *DARK}
    return raw.decode()
