"""Reload, on a running server with real files: a good book replaces the old one, a bad one never does."""

import logging
import os
import shutil
import time
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path
from typing import Any

import httpx
import pytest
import watchfiles
from tests.conftest import running
from tests.rulebook.folders import FILES, HOUSE, LATER, OWN, write

from evenhang.app import create_app
from evenhang.rulebook import shelf as shelf_module
from evenhang.rulebook.book import BadRules
from evenhang.rulebook.shelf import Shelf

ASKED = {"as_of": "2026-07-01", "work": {"medium": "print", "size": {"height": "20", "width": "30", "unit": "cm"}}}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write(tmp_path / "rules", FILES)


@pytest.fixture
def client(folder: Path) -> Iterator[httpx.Client]:
    shelf = Shelf.filled(folder)
    shelf.look_ms = 300
    with running(create_app(shelf, lambda: date(2026, 7, 1))) as address, httpx.Client(base_url=address, trust_env=False) as client:
        yield client


def health(client: httpx.Client) -> dict[str, Any]:
    answer = client.get("/health/ready")
    assert answer.status_code == 200
    rules: dict[str, Any] = answer.json()["rules"]
    return rules


def until(client: httpx.Client, holds: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
    """The health as soon as it holds; an error after ten seconds."""
    for _ in range(200):
        if holds(found := health(client)):
            return found
        time.sleep(0.05)
    raise AssertionError(found)


def price(client: httpx.Client) -> str:
    answer = client.post("/v1/members/thimble-yard/quotes", json=ASKED).json()
    return str(answer["price"]["amount"])


def test_good_replaces_bad_never_does_and_repair_is_taken(client: httpx.Client, folder: Path, caplog: pytest.LogCaptureFixture) -> None:
    """120 x 1.05 = 126, to the nearest 5: 125; from June 2026 on 140, the rates of that day."""
    caplog.set_level(logging.INFO, "evenhang")
    first = health(client)
    assert (first["failing"], first["faults"], price(client)) == (False, 0, "125.00")

    power = 'schedule = { kind = "power", reference_price = 140, reference_measure = 600, exponent = 0.6 }'
    write(folder, {LATER: f"[increase]\nbase_date = 2026-06-01\n[media.print]\n{power}\n"})
    second = until(client, lambda h: h["digest"] != first["digest"])
    assert (second["failing"], price(client)) == (False, "140.00")
    assert second["loaded_at"] > first["loaded_at"]

    for bad, faults in (
        ("[increase]\nbase_date = 2026-06-01\n[media.print]\nschedule = 5\n", 1),
        ("not TOML", 1),
        ("minimun = 1\ntitel = 2", 2),
    ):
        write(folder, {LATER: bad})
        failing = until(client, lambda h, faults=faults: h["failing"] and h["faults"] == faults)
        assert (failing["digest"], price(client)) == (second["digest"], "140.00")
    assert LATER in caplog.text
    assert 'did you mean "title"?' in caplog.text

    shutil.rmtree(folder / "members")
    gone = until(client, lambda h: h["failing"] and h["faults"] == 1)
    assert (gone["digest"], price(client)) == (second["digest"], "140.00")

    write(folder, {OWN: FILES[OWN]})
    repaired = until(client, lambda h: not h["failing"])
    assert (repaired["digest"], repaired["faults"], price(client)) == (first["digest"], 0, "125.00")


def test_a_folder_that_goes_and_comes_back(client: httpx.Client, folder: Path) -> None:
    folder.rename(folder.with_name("away"))
    assert until(client, lambda h: h["failing"])["faults"] == 1
    folder.with_name("away").rename(folder)
    assert until(client, lambda h: not h["failing"])["faults"] == 0
    changed(client, folder, 1)


def changed(client: httpx.Client, folder: Path, step: int) -> None:
    """A change of the house's grid, and the price that follows from it: 126, to the nearest `step`."""
    write(folder, {HOUSE: FILES[HOUSE].replace("step = 5 }", f"step = {step} }}")})
    for _ in range(200):
        if price(client) == {1: "126.00", 2: "126.00", 4: "128.00", 5: "125.00"}[step]:
            return
        time.sleep(0.05)
    raise AssertionError("the watch did not go on")


def test_the_watch_goes_on_whatever_goes_wrong(
    client: httpx.Client, folder: Path, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While it looks, while it waits for the file system's word, and while it reads; told once each, not at every look."""
    for name, words in (("paths_in", "could not be read"), ("load_book", "could not be read")):
        with monkeypatch.context() as broken:
            broken.setattr(shelf_module, name, raises(FileNotFoundError(name)))
            write(folder, {"house/notes.toml": ""})
            assert until(client, lambda h: h["failing"])["faults"] == 1
            time.sleep(1)
            (folder / "house/notes.toml").unlink()
        until(client, lambda h: not h["failing"])
        assert [r for r in caplog.messages if words in r] == ["rules could not be read"]
        caplog.clear()
    monkeypatch.setattr(watchfiles, "awatch", raises(RuntimeError("no events")))
    changed(client, folder, 1)
    changed(client, folder, 4)
    assert len([r for r in caplog.messages if "tells nothing of changes" in r]) == 1


def raises(error: Exception) -> Callable[..., Any]:
    def raising(*_: Any, **__: Any) -> Any:
        raise error

    return raising


def test_a_name_that_is_no_utf8_does_not_end_the_watch(client: httpx.Client, folder: Path) -> None:
    strange = os.fsencode(folder) + b"/.swap\xff"
    for step in (1, 4):
        Path(os.fsdecode(strange)).write_text("")
        changed(client, folder, step)
    os.unlink(strange)
    changed(client, folder, 5)


def test_a_file_behind_a_linked_folder_is_followed(client: httpx.Client, folder: Path) -> None:
    (folder / "house").rename(folder.with_name("shared"))
    (folder / "house").symlink_to(folder.with_name("shared"))
    time.sleep(1)
    until(client, lambda h: not h["failing"])
    changed(client, folder, 1)
    changed(client, folder, 4)


def test_a_change_between_the_start_and_the_watch_is_taken(folder: Path) -> None:
    shelf = Shelf.filled(folder)
    with running(create_app(shelf, lambda: date(2026, 7, 1))) as address, httpx.Client(base_url=address, trust_env=False) as client:
        before = price(client)
    write(folder, {HOUSE: FILES[HOUSE].replace("step = 5 }", "step = 1 }")})
    with running(create_app(shelf, lambda: date(2026, 7, 1))) as address, httpx.Client(base_url=address, trust_env=False) as client:
        for _ in range(40):
            if price(client) == "126.00" != before:
                return
            time.sleep(0.05)
    raise AssertionError("the change was not taken")


def test_a_bad_folder_stops_the_service_with_all_the_reasons(folder: Path) -> None:
    write(folder, {LATER: "minimun = 1\ntitel = 2"})
    with pytest.raises(BadRules) as bad:
        Shelf.filled(folder)
    assert len(bad.value.faults) == 2
    assert str(bad.value).count(LATER) == 1


def test_reload_says_whether_another_book_is_served(folder: Path) -> None:
    shelf = Shelf.filled(folder)
    before = shelf.book
    assert (shelf.reload(), shelf.book) == (False, before)
    write(folder, {HOUSE: FILES[HOUSE].replace("levy_percent = 2", "levy_percent = 3")})
    assert shelf.reload()
    assert shelf.book is not before
    assert Shelf(before).reload() is False
    assert shelf.failures == 0
    write(folder, {HOUSE: "currency = 1"})
    assert [shelf.reload(), shelf.reload(), shelf.failures] == [False, False, 2]
