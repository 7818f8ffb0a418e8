"""The price guide in a browser: within its policy, from this service alone, for every reader, on every width, on paper."""

from collections.abc import Callable
from typing import Any

import pytest

from evenhang.api.language import LANGUAGES

Axe = Callable[[Any], list[str]]
GUIDE = "/v1/members/alder-lane/guide"
# Points of a page, 72 to the inch: A4 (ISO 216) is 210 x 297 mm, Letter 8.5 x 11 in.
PAPERS = {"A4": (595, 842), "Letter": (612, 792)}


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_for_every_reader_within_its_policy_and_from_here_alone(page: Any, server: str, axe: Axe, scheme: Any) -> None:
    page.emulate_media(color_scheme=scheme)
    page.goto(f"{server}{GUIDE}")
    assert page.inner_text("h1") == "Alder Lane"
    assert page.locator("table").count() == 3
    assert axe(page) == []
    assert page.faults == []
    assert [url for url in page.asked if not url.startswith((server, "data:"))] == []
    dark = page.evaluate("() => getComputedStyle(document.body).backgroundColor.match(/[0-9]+/g).map(Number).every(v => v < 60)")
    assert dark is (scheme == "dark")


def test_axe_would_see_a_fault(page: Any, server: str, axe: Axe) -> None:
    page.goto(f"{server}{GUIDE}")
    page.evaluate("() => { document.querySelector('footer').style.color = '#bbb'; document.documentElement.lang = ''; }")
    assert {fault.partition(":")[0] for fault in axe(page)} >= {"color-contrast", "html-has-lang"}


@pytest.mark.parametrize("width", [320, 768, 1280])
def test_no_width_needs_scrolling_sideways(page: Any, server: str, width: int) -> None:
    """WCAG 2.2, 1.4.10 Reflow: 320 CSS pixels; a tablet, a desk."""
    page.set_viewport_size({"width": width, "height": 800})
    for language in LANGUAGES:
        page.goto(f"{server}{GUIDE}?lang={language}")
        assert page.evaluate("() => document.documentElement.scrollWidth") <= width, language
        # WCAG 2.2, 2.5.8 Target Size: 24 CSS pixels.
        assert page.evaluate("() => Math.min(...[...document.links].map(a => a.getBoundingClientRect().height))") >= 24


def test_by_keyboard_every_choice_is_reached_in_order_and_seen(page: Any, server: str) -> None:
    page.goto(f"{server}{GUIDE}")
    reached = []
    for _ in range(page.locator("a").count()):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("() => document.activeElement.getAttribute('href')"))
        assert page.evaluate("() => getComputedStyle(document.activeElement).outlineStyle") == "solid"
    assert reached == page.evaluate("() => [...document.links].map(a => a.getAttribute('href'))")
    page.locator("a[hreflang=ja]").focus()
    page.keyboard.press("Enter")
    page.wait_for_url("**lang=ja")
    assert page.evaluate("() => document.documentElement.lang") == "ja"


def test_to_a_screen_reader_each_price_has_its_size_and_its_kind(page: Any, server: str) -> None:
    page.goto(f"{server}{GUIDE}?medium=oil")
    seen = page.locator("table").aria_snapshot()
    assert 'columnheader "Framed"' in seen
    assert 'rowheader "30 x 40 cm"' in seen
    assert 'cell "1,500.00"' in seen
    assert page.get_by_role("navigation", name="Languages").count() == 1


@pytest.mark.parametrize("paper", PAPERS)
def test_it_prints_on_one_sheet_of_either_paper(page: Any, server: str, paper: str) -> None:
    page.goto(f"{server}{GUIDE}?medium=oil")
    raw = page.pdf(format=paper)
    assert raw.count(b"/Type /Page\n") == 1
    width, height = PAPERS[paper]
    box = raw.partition(b"/MediaBox [")[2].partition(b"]")[0].split()
    assert [round(float(value)) for value in box[2:]] == pytest.approx([width, height], abs=1)
    page.emulate_media(media="print", color_scheme="dark")
    assert page.evaluate("() => getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
    assert not page.locator("nav").first.is_visible()


def test_the_piece_takes_on_the_look_of_the_page_around_it(page: Any, server: str, axe: Axe) -> None:
    """As a maker's own site would: fetched by its server, put into its page, which keeps its own styles for the rest."""
    piece = page.request.get(f"{server}{GUIDE}?form=embed&lang=de").text()
    page.set_content(
        "<!doctype html><html lang=en><title>A maker</title><style>td{color:rgb(1,2,3)}</style>"
        f"<main><h1>Prices</h1>{piece}<p id=own>Own</p></main>"
    )
    assert page.evaluate("() => getComputedStyle(document.querySelector('td')).color") == "rgb(1, 2, 3)"
    assert page.evaluate("() => document.styleSheets.length") == 1
    assert page.evaluate("() => document.scripts.length") == 0
    assert axe(page) == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_pages_picture_is_shown_within_its_policy_and_follows_the_dark(page: Any, server: str, scheme: Any) -> None:
    page.emulate_media(color_scheme=scheme)
    page.goto(f"{server}{GUIDE}")
    page.wait_for_function("() => [...document.images].every(image => image.complete)")
    assert page.evaluate("() => [...document.images].map(image => image.naturalWidth > 300)") == [True] * 3
    assert page.faults == []
    page.goto(f"{server}{GUIDE}?form=svg")
    assert (
        page.evaluate("() => getComputedStyle(document.querySelector('path')).fill")
        == {
            "light": "rgb(255, 255, 255)",
            "dark": "rgb(22, 28, 28)",
        }[scheme]
    )
    assert page.faults == []
    # Its name and its words reach a screen reader.
    assert page.evaluate("() => document.documentElement.getAttribute('role')") == "img"
    assert "250.00" in page.evaluate("() => document.querySelector('desc').textContent")
