"""What all pictures share: colours for every kind of eye, titles that are only text, the same bytes each time."""

import itertools
import re
import xml.etree.ElementTree as ElementTree
from typing import Any

import pytest

from evenhang.api.pictured import voice_in
from evenhang.pictures.canvas import DARK, INCH, LIGHT, Colours, Drawing, by_ratio, drawn, key, marks_of, plain_numbers, short
from evenhang.pictures.voice import breadth, wrapped

NAMES = {"svg": "http://www.w3.org/2000/svg"}
# G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, A Physiologically-based Model for Simulation of Color Vision Deficiency, IEEE TVCG
# 15(6), 2009: the matrices of full severity, on linear sRGB (read, in several libraries that carry them alike).
EYES = {
    "usual": ((1, 0, 0), (0, 1, 0), (0, 0, 1)),
    "protanopia": ((0.152286, 1.052583, -0.204868), (0.114503, 0.786281, 0.099216), (-0.003882, -0.048116, 1.051998)),
    "deuteranopia": ((0.367322, 0.860646, -0.227968), (0.280085, 0.672501, 0.047413), (-0.011820, 0.042940, 0.968881)),
    "tritanopia": ((1.255528, -0.076749, -0.178779), (-0.078411, 0.930809, 0.147602), (0.004733, 0.691367, 0.303900)),
}
Light = tuple[float, float, float]


def linear(colour: str) -> Light:
    """The amounts of light of an sRGB colour (IEC 61966-2-1)."""
    parts = (int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5))
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return red, green, blue


def seen(colour: str, eye: str) -> Light:
    light = linear(colour)
    red, green, blue = (min(1.0, max(0.0, sum(a * b for a, b in zip(row, light, strict=True)))) for row in EYES[eye])
    return red, green, blue


def luminance(light: Light) -> float:
    return 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2]


def contrast(a: str, b: str, eye: str = "usual") -> float:
    """WCAG 2.2, contrast ratio."""
    low, high = sorted((luminance(seen(a, eye)), luminance(seen(b, eye))))
    return (high + 0.05) / (low + 0.05)


def distance(a: str, b: str, eye: str) -> float:
    """CIE 1976 colour difference, in CIELAB under D65."""
    return sum((x - y) ** 2 for x, y in zip(lab(seen(a, eye)), lab(seen(b, eye)), strict=True)) ** 0.5


def lab(light: Light) -> Light:
    red, green, blue = light
    x = (0.4124564 * red + 0.3575761 * green + 0.1804375 * blue) / 0.95047
    z = (0.0193339 * red + 0.1191920 * green + 0.9503041 * blue) / 1.08883
    fx, fy, fz = (t ** (1 / 3) if t > 0.008856 else 7.787 * t + 16 / 116 for t in (x, luminance(light), z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def test_the_measures_by_known_values() -> None:
    """Black on white is 21 to 1 (WCAG 2.2); white is L 100; the simulation leaves greys as they are."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert lab(linear("#ffffff")) == pytest.approx((100, 0, 0), abs=0.02)
    for eye in EYES:
        assert seen("#808080", eye) == pytest.approx(linear("#808080"), abs=1e-4)
    assert distance("#c00000", "#008000", "deuteranopia") < distance("#c00000", "#008000", "usual") / 2


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
@pytest.mark.parametrize("eye", EYES)
def test_colours_stand_off_from_the_paper_and_from_one_another(colours: Colours, eye: str) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 for what is drawn, 1.4.3: 4.5 to 1 for what is written. Between colours a difference of 25: common practice
    calls one over 10 seen at a glance, no source."""
    marks = (colours.first, colours.second, colours.third, colours.ink)
    assert min(contrast(mark, colours.paper, eye) for mark in marks) >= 3
    assert min(contrast(text, colours.paper, eye) for text in (colours.ink, colours.faint)) >= 4.5
    assert min(distance(a, b, eye) for a, b in itertools.combinations(marks, 2)) >= 25


def test_the_rule_on_colours_sees_red_and_green() -> None:
    assert distance("#b03030", "#407030", "deuteranopia") < 25 < distance("#b03030", "#407030", "usual")


def picture(title: str, words: str = "Words.", paint: Any = None) -> bytes:
    def plain(figure: Any) -> None:
        figure.text(0.1, 0.5, short(title))

    return drawn(Drawing(title, words, 200, 100, paint or plain))


HOSTILE = [
    "</title><script>alert(1)</script>",
    "$\\frac{x}$",
    "$",
    "a\x00\x08b",
    "\u202egnp.exe",
    "価格表",
    "]]>&amp;",
    "<!--",
    "\ufffe\ud83d",
]


@pytest.mark.parametrize("title", HOSTILE)
def test_a_title_is_only_text(title: str) -> None:
    raw = picture(title, title)
    root = ElementTree.fromstring(raw)
    assert {element.tag.partition("}")[2] for element in root.iter()} <= {"svg", "title", "desc", "style", "defs", "g", "path", "text"}
    assert root.find("svg:title", NAMES) is not None


def test_it_explains_itself_to_those_who_do_not_see_it() -> None:
    """SVG 1.1, section 5.4: the first title and description of the root; WAI-ARIA: role img, named by them."""
    root = ElementTree.fromstring(picture("Prices & sizes", "30 x 40 cm: 250.00."))
    title, words = root[0], root[1]
    assert (title.text, words.text) == ("Prices & sizes", "30 x 40 cm: 250.00.")
    assert (root.get("role"), root.get("aria-labelledby")) == ("img", f"{title.get('id')} {words.get('id')}")


def test_nothing_of_it_comes_from_elsewhere() -> None:
    raw = picture("Prices").decode()
    assert re.findall(r"<!DOCTYPE|<metadata|<script|@import|url\((?!#)|href=\"(?!#)", raw) == []
    assert set(re.findall(r"https?://[^\"]+", raw)) == {"http://www.w3.org/1999/xlink", "http://www.w3.org/2000/svg"}


def test_the_same_bytes_each_time() -> None:
    assert picture("Prices") == picture("Prices")
    assert picture("Prices") != picture("Sizes")


def test_every_colour_has_another_in_the_dark() -> None:
    raw = picture("Prices").decode()
    dark = raw[raw.index("@media (prefers-color-scheme:dark)") :]
    for light, other in zip(LIGHT, DARK, strict=True):
        assert f'[style*="fill: {light}"],[fill="{light}"]{{fill:{other}!important}}' in dark


@pytest.mark.parametrize(("given", "shown"), [("a" * 41, "a" * 39 + "…"), ("a" * 40, "a" * 40), (" a\n b\u202e\x00c ", "a bc"), ("", "")])
def test_a_long_title_is_cut_and_stands_on_one_line(given: str, shown: str) -> None:
    assert short(given) == shown


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ("one two three", ["one two", "three"]),
        ("unbreakable", ["unbreakable"]),
        ("作品の価格、一つ", ["作品の価", "格、一つ"]),
        ("作品の、価格。", ["作品の、", "価格。"]),
        ("", [""]),
    ],
)
def test_lines_are_wrapped(text: str, lines: list[str]) -> None:
    """Between words, and in Japanese between any two letters, but never before a mark that ends something."""
    assert wrapped(text, 8).split("\n") == lines


def test_what_says_which_mark_means_what_goes_on_in_rows() -> None:
    """Each entry begins after those before it, also where the font that measures lacks their letters; nothing leaves the picture."""
    labels = ["Larger for less", "大きいのに安い作品", "Reserved, not for sale", "最小の変更で修正"]

    def paint(figure: Any) -> None:
        axes = figure.add_axes((0.2, 0.2, 0.7, 0.5))
        for label in labels:
            axes.plot([1, 2], label=label)
        key(figure, marks_of(figure), 10, 20)
        ends: dict[float, float] = {}
        for legend in figure.legends:
            box = legend.get_window_extent()
            (text,) = legend.get_texts()
            assert box.x0 >= ends.get(box.y0, 0)
            ends[box.y0] = text.get_window_extent().x0 + 9 * 0.5 * breadth(text.get_text())
            assert ends[box.y0] <= 400
        assert len(ends) == 2

    drawn(Drawing("Key", "", 400, 200, paint))


@pytest.mark.parametrize(
    ("values", "scale", "least"), [([1, 10_000], "log", 3), ([140, 190], "log", 2), ([0, 5], "linear", 2), ([], "linear", 0)]
)
def test_a_scale_of_ratios_has_labels_whatever_its_width(values: list[float], scale: str, least: int) -> None:
    labels: list[str] = []

    def paint(figure: Any) -> None:
        axes = figure.add_axes((0.2, 0.2, 0.7, 0.7))
        axes.plot(values, values)
        by_ratio(axes, "x", values)
        plain_numbers(axes, voice_in("en"))
        low, high = axes.get_xlim()
        labels.extend(axes.xaxis.get_major_formatter().format_ticks([at for at in axes.xaxis.get_ticklocs() if low <= at <= high]))
        assert axes.get_xscale() == scale

    picture("Scale", paint=paint)
    assert len(labels) >= least
    assert all(re.fullmatch("[0-9.,−-]*", label) for label in labels)


def test_a_picture_is_as_large_as_it_says() -> None:
    root = ElementTree.fromstring(picture("Prices"))
    assert (root.get("width"), root.get("viewBox"), INCH) == ("200pt", "0 0 200 100", 72)
