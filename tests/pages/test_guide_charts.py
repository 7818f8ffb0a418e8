"""The guide's charts where they are read: on a telephone, on a desk, and on paper."""

import io
import re
from pathlib import Path
from typing import Any

import httpx
import pypdfium2
import pytest

import evenhang.demo
from evenhang.pictures.canvas import LIGHT

MEMBERS = sorted(path.name for path in (Path(evenhang.demo.RULES) / "members").iterdir())
MM = 96 / 25.4  # CSS pixels
# What a page of either paper leaves between its margins of 16 mm, in CSS pixels.
BETWEEN = {"A4": (210 - 32) * MM, "Letter": (215.9 - 32) * MM}


def opened(page: Any, server: str, member: str, language: str = "en") -> None:
    page.goto(f"{server}/v1/members/{member}/guide?lang={language}")
    page.wait_for_function("() => document.images.length && [...document.images].every(image => image.complete)")


def letters(page: Any, client: httpx.Client) -> list[float]:
    """The smallest lettering of each chart, in CSS pixels as it is shown."""
    shown = []
    for address, width in page.evaluate("() => [...document.images].map(image => [image.currentSrc, image.clientWidth])"):
        picture = client.get(address).text
        drawn = re.search(r'viewBox="0 0 ([0-9.]+) ', picture)
        assert drawn is not None
        shown.append(min(map(float, re.findall(r"font(?:-size)?: ([0-9.]+)px", picture))) * width / float(drawn[1]))
    return shown


@pytest.mark.parametrize("member", MEMBERS)
@pytest.mark.parametrize("width", [320, 1280])
def test_the_lettering_of_every_chart_can_be_read_at_every_width(
    page: Any, server: str, client: httpx.Client, member: str, width: int
) -> None:
    page.set_viewport_size({"width": width, "height": 800})
    opened(page, server, member)
    assert min(letters(page, client)) >= 10
    assert max(letters(page, client)) <= 16


@pytest.mark.parametrize("paper", BETWEEN)
@pytest.mark.parametrize("member", MEMBERS)
def test_on_paper_it_can_be_read_on_white_and_no_sheet_is_nearly_empty(
    page: Any, server: str, client: httpx.Client, member: str, paper: str
) -> None:
    page.emulate_media(media="print")
    page.set_viewport_size({"width": int(BETWEEN[paper]), "height": 800})
    opened(page, server, member, "de")
    assert min(letters(page, client)) * 0.75 >= 6  # points
    page.emulate_media(media=None, color_scheme="dark")
    sheets = [sheet.render(scale=1).to_pil().convert("RGB") for sheet in pypdfium2.PdfDocument(io.BytesIO(page.pdf(format=paper)))]
    for sheet in sheets:
        ground = max(sheet.getcolors(1 << 24))
        assert ground[1] == (255, 255, 255)
        # Beside the soft edges of letters nothing is nearly white: no chart brings a ground of its own.
        pale = [count for count, colour in sheet.getcolors(1 << 24) if min(colour) > 240 and colour != (255, 255, 255)]
        assert max(pale) < sheet.width * sheet.height / 200
        # Above the page's number at the foot: at least a quarter of each sheet is used, so no sentences stand alone on one.
        body = sheet.crop((0, 0, sheet.width, int(sheet.height * 0.93))).convert("L").point(lambda grey: 255 if grey < 200 else 0)
        assert body.getbbox()[3] > sheet.height / 4


def test_a_ground_of_its_own_would_be_seen(page: Any, server: str) -> None:
    """The guard above, seen to fail: with a cream ground under the charts the sheet has too much that is nearly white."""
    opened(page, server, "alder-lane")
    cream = "{background: '#fbf9f4', webkitPrintColorAdjust: 'exact', height: '5cm', objectPosition: '100cm'}"
    page.evaluate(f"() => {{ for (const image of document.images) Object.assign(image.style, {cream}); }}")
    (sheet,) = (sheet.render(scale=1).to_pil().convert("RGB") for sheet in pypdfium2.PdfDocument(io.BytesIO(page.pdf(format="A4"))))
    counts = {colour: count for count, colour in sheet.getcolors(1 << 24)}
    assert counts[(251, 249, 244)] > sheet.width * sheet.height / 200


def test_the_light_paper_is_white() -> None:
    assert LIGHT.paper == "#ffffff"


def test_each_chart_is_named_by_its_medium_and_leads_to_itself(page: Any, server: str) -> None:
    opened(page, server, "alder-lane", "de")
    named = page.evaluate("() => [...document.images].map(image => image.alt)")
    assert [name.partition(":")[0] for name in named] == ["Charcoal drawing", "Oil on linen", "Plein-air oil on stretched canvas"]
    assert page.evaluate("() => [...document.images].every(image => image.closest('a').href === image.src)")
