"""The shop's file of works: what is wrong with it is told by its place, and a title stays a title."""

import html
import json
import re
import shutil
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest


def test_a_title_stays_a_title(shop: Any, own: Any, tmp_path: Path) -> None:
    hostile = '</script><img src=x onerror="alert(1)"> & {{ 7 * 7 }}'

    def rename(row: dict[str, Any]) -> None:
        row["work"]["title"] = row["words"] = hostile

    assert own.build(tmp_path, shop.service, shop.address, "--works", own.changed_works(tmp_path, rename)).returncode == 0
    page = (tmp_path / "site/works/al-01.html").read_text()
    assert "<img src=x" not in page
    assert "{{ 7 * 7 }}" in html.unescape(page)
    assert json.loads(re.search(r"data-linked>(.*?)</script>", page, re.S)[1])["name"] == hostile
    assert "<img" not in (tmp_path / "site/pictures/al-01.svg").read_text()


def test_a_picture_is_xml_whatever_the_title(shop: Any, own: Any, tmp_path: Path) -> None:
    def rename(row: dict[str, Any]) -> None:
        row["work"]["title"] = "Bell\x07 & \x00wren\ufffe"

    assert own.build(tmp_path, shop.service, shop.address, "--works", own.changed_works(tmp_path, rename)).returncode == 0
    drawn = ElementTree.parse(tmp_path / "site/pictures/al-01.svg")
    assert drawn.find("{http://www.w3.org/2000/svg}title").text == "Bell & wren"


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        ({"id": 5}, "work 1 of the list: id is a text in quotes"),
        ({"member": None}, "al-01: member is missing"),
        ({"work": "oil"}, "al-01: work is an object in {}"),
        ({"work": {"medium": "oil", "size": "20x25"}}, "al-01: work/size is an object in {}"),
        ({"work": {"medium": "oil", "size": {"height": "20", "width": "25"}}}, "al-01: work/size/unit is missing"),
        ({"work": {"medium": "oil", "format": "a4", "costs": ["frame"]}}, "al-01: work/costs/0 is an object in {}"),
        (
            {"work": {"medium": "oil", "format": "a4", "extras": [{"name": "x", "quantity": "2"}]}},
            "work/extras/0/quantity is a whole number",
        ),
        ({"work": {"title": "Gate in fog"}}, "al-01: work/medium is missing"),
        ({"state": []}, "al-01: state is a text in quotes"),
        ({"asked": 400}, "al-01: asked is an object in {}"),
        ({"shown_cm": ["61"]}, "al-01: shown_cm is height and width"),
        ({"shown_cm": ["0", "x"]}, "al-01: shown_cm is height and width"),
        ({"prize": 1}, "al-01: there is no field prize"),
        ({"work": {"medium": "oil", "title": "\ud800", "format": "a4"}}, "surrogates not allowed"),
        ({"work": {"medium": "oil", "size": {"height": "20", "width": "x", "unit": "cm"}}}, "al-01: width: "),
        ({"work": {"medium": "fresco", "size": {"height": "20", "width": "25", "unit": "cm"}}}, "al-01: medium: "),
        ({"work": {"medium": "oil", "size": {"height": "20", "width": "x", "unit": "cm"}, "hours": "9"}}, "al-01: size/width: "),
    ],
)
def test_a_slip_of_the_pen_is_told_in_a_line(shop: Any, own: Any, tmp_path: Path, change: dict[str, Any], fault: str) -> None:
    def slip(row: dict[str, Any]) -> None:
        if row["id"] == "al-01":
            row.update(change)

    done = own.build(tmp_path, shop.service, shop.address, "--works", own.changed_works(tmp_path, slip))
    assert (done.returncode, len(done.stderr.splitlines())) == (1, 1), done.stderr
    assert "works.json: " in done.stderr
    assert fault in done.stderr
    assert not (tmp_path / "site").exists()


def test_a_broken_catalogue_is_told(shop: Any, own: Any, tmp_path: Path) -> None:
    for broken in (
        "{",
        '[{"member": "alder-lane", "id": "../x", "work": {"medium": "oil"}}]',
        '[{"member": "a", "id": "b", "prize": 1, "work": {}}]',
    ):
        (tmp_path / "works.json").write_text(broken)
        done = own.build(tmp_path, shop.service, shop.address, "--works", tmp_path / "works.json")
        assert (done.returncode, "works.json" in done.stderr, "Traceback" in done.stderr) == (1, True, False)
    shutil.rmtree(tmp_path / "site", ignore_errors=True)
    (tmp_path / "site").mkdir()
    assert own.build(tmp_path, shop.service, shop.address).returncode == 2


@pytest.mark.parametrize("empty", ["[]", "{}"])
def test_an_empty_list_empties_no_shop(shop: Any, own: Any, tmp_path: Path, empty: str) -> None:
    good = own.build(tmp_path, shop.service, shop.address, "--works", own.changed_works(tmp_path, lambda row: None))
    before = (tmp_path / "site").resolve()
    (tmp_path / "works.json").write_text(empty)
    done = own.build(tmp_path, shop.service, shop.address, "--works", tmp_path / "works.json")
    assert (good.returncode, done.returncode) == (0, 1)
    assert "there are no works" in done.stderr
    assert (tmp_path / "site").resolve() == before
    assert (tmp_path / "site/works/al-06.html").exists()
