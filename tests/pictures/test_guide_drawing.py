"""The guide's chart by what it draws: every size at its price, named where there is room, and on the paper."""

import pytest
from msgspec.structs import replace
from tests.pictures.seen import ENGLISH, ON, euros, painted, whole

from evenhang.api.guide_words import number_in, terms, words_in
from evenhang.api.pictured import voice_in
from evenhang.engine.formats import ShownSize
from evenhang.engine.guide import Guide, guide_of
from evenhang.pictures.guide import draw_guide
from evenhang.rulebook.book import RuleBook


def guide(book: RuleBook, member: str = "alder-lane") -> Guide:
    return guide_of(book.in_force(member, ON), ON)


@pytest.mark.parametrize("language", ["en", "ja"])
def test_every_size_of_the_guide_is_marked_and_said(book: RuleBook, language: str) -> None:
    found = guide(book)
    words = words_in(language)
    drawing = draw_guide(found, words, terms(found, language), voice_in(language))
    for axes, medium in zip(painted(drawing).axes, found.media, strict=True):
        lines = {line.get_label(): list(line.get_ydata()) for line in axes.lines}
        assert lines[words["unframed"]] == [float(row.unframed.amount) for row in medium.rows]
        assert lines[words["framed"]] == [float(row.framed.amount) for row in medium.rows if row.framed]
    for medium in found.media:
        assert all(number_in(row.unframed.amount, language) in drawing.description for row in medium.rows)
    whole(drawing)


def test_sizes_of_three_sides_stand_by_volume_and_pieces_are_left_out(book: RuleBook) -> None:
    found = guide(book, "muddlefern")
    axes = {one.get_title(loc="left"): one for one in painted(draw_guide(found, words_in("en"), "", ENGLISH)).axes}
    assert axes["Stoneware sculpture"].get_xlabel() == "cm³"
    assert list(axes["Stoneware sculpture"].lines[0].get_xdata()) == [20 * 15 * 12]
    assert axes["Stoneware vessel"].get_xlabel() == "cm"
    assert "Beaker" not in axes


def test_names_of_sizes_that_stand_close_do_not_lie_on_one_another(book: RuleBook) -> None:
    found = guide(book)
    medium = found.media[1]
    rows = tuple(
        replace(medium.rows[0], title=f"Size {i}", size=ShownSize(str(30 + i), "40", None, "cm"), unframed=euros(f"{250 + i}.00"))
        for i in range(20)
    )
    (axes,) = painted(draw_guide(replace(found, media=(replace(medium, rows=rows),)), words_in("en"), "", ENGLISH)).axes
    assert [text.get_text() for text in axes.texts] == ["Size 19", "Size 2"]  # the largest, and the next that has room beside it


def test_no_name_of_a_size_goes_on_beyond_the_paper(book: RuleBook) -> None:
    found = guide(book, "muddlefern")
    sculpture = next(medium for medium in found.media if medium.title == "Stoneware sculpture")
    figure = painted(draw_guide(replace(found, media=(sculpture,)), words_in("en"), "", ENGLISH))
    (name,) = figure.axes[0].texts
    assert name.get_text() == "20 x 15 x 12 cm"
    assert name.get_window_extent().x1 <= figure.bbox.x1


@pytest.mark.parametrize(("language", "title"), [("fr", "Alder Lane\u00a0: Le prix selon le format"), ("ja", "Alder Lane：サイズと価格")])
def test_a_colon_stands_as_the_language_sets_it(book: RuleBook, language: str, title: str) -> None:
    """French has a space before it, which does not break (common typographic practice, no source); Japanese has its own."""
    found = guide(book)
    drawing = draw_guide(found, words_in(language), terms(found, language), voice_in(language))
    assert drawing.title == title
    assert ": " not in drawing.description.replace("\u00a0: ", "")


def test_a_guide_without_sizes_is_a_picture_too(book: RuleBook) -> None:
    whole(draw_guide(replace(guide(book), media=()), words_in("en"), "Terms.", ENGLISH))
