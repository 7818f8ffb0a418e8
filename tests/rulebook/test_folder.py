"""Files and names: what is read, what is refused unread, and in what bounds."""

from pathlib import Path

import pytest
from tests.rulebook.folders import FILES, HOUSE, LATER, OWN, check, write

from evenhang.rulebook import folder as module
from evenhang.rulebook.book import check_files, check_folder
from evenhang.rulebook.folder import RuleFile
from evenhang.rulebook.lines import key_at, line_of


@pytest.mark.parametrize(("path", "reason"), [
    ("house/2025-1-1.toml", "is no day"), ("house/20250101.toml", "is no day"), ("house/2025-W01-1.toml", "is no day"),
    ("house/2025-02-30.toml", "is no day"), ("house/2025-01-01.tml", "ending"), ("house/rules", "ending"),
    ("members/Thimble/2025-01-01.toml", "a member's name"), ("members/../2025-01-01.toml", "a member's name"),
    ("membres/thimble-yard/2025-01-01.toml", "no rule file lies here"), ("2025-01-01.toml", "no rule file lies here"),
    ("house/old/2025-01-01.toml", "no rule file lies here"),
])  # fmt: skip
def test_bad_names_are_refused(path: str, reason: str) -> None:
    refusals = check({**FILES, path: ""}).refusals
    assert [(f.file, f.key) for f in refusals] == [(path, "")]
    assert reason in refusals[0].reason


@pytest.mark.parametrize(("raw", "reason", "line"), [
    (b"title = \xff", "no UTF-8 at byte 8", None), (b"title = ", "no TOML", 1), (b"a = [1,\n", "no TOML", 1),
    (b"a = " + b"[" * 2000 + b"]" * 2000, "nested", None), (b"a = " + b"[" * 20 + b"]" * 20, "nested more than 12", None),
    (b".".join([b"a"] * 5000) + b" = 1", "nested more than 12", None), (b"a = " + b"9" * 5000, "no TOML", None),
    (b"a = [" + b"1," * 20_001 + b"]", "more than 20000 values", None), (b"#" * 1_000_001, "larger than 1000000 bytes", None),
])  # fmt: skip
def test_what_is_no_layer_is_refused(raw: bytes, reason: str, line: int | None) -> None:
    files = [*(RuleFile(path, text.encode()) for path, text in FILES.items()), RuleFile(LATER, raw)]
    refusals = check_files(files).refusals
    assert [(f.file, f.key, f.line) for f in refusals] == [(LATER, "", line)]
    assert reason in refusals[0].reason


@pytest.mark.parametrize(("text", "key", "line"), [
    ("[media.oil]\nminimum = 60\nminimum = 70\n", "media.oil.minimum", 3),
    ("[grades]\n[extras]\n[grades]\n", "grades", 3),
    ('title = "A"\ntitle = "B"', "title", 2),
])  # fmt: skip
def test_a_key_said_twice_is_named(text: str, key: str, line: int) -> None:
    refusals = check({**FILES, LATER: text}).refusals
    assert [(f.file, f.key, f.line) for f in refusals] == [(LATER, key, line)]
    assert "said twice" in refusals[0].reason


def test_what_lies_beside_the_rules(tmp_path: Path) -> None:
    """Notes and hidden files may; a folder that nobody reads, or a file with another ending, may not."""
    write(tmp_path, {**FILES, "README.md": "x", "house/.swap": "x", "members/thimble-yard/notes.txt": "x", ".git/config": "x"})
    assert check_folder(tmp_path).faults == ()
    write(tmp_path, {"drafts/2025-01-01.toml": "", "house/2026-01-01.toml~": ""})
    assert {f.file for f in check_folder(tmp_path).refusals} == {"drafts", "house/2026-01-01.toml~"}


@pytest.mark.parametrize(("bound", "value", "reason"), [
    ("MOST_FILES", 1, "more than 1 files"), ("MOST_BYTES", 100, "more than 100 bytes"), ("MOST_MEMBERS", 0, "more than 0 members"),
])  # fmt: skip
def test_too_much_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, bound: str, value: int, reason: str) -> None:
    monkeypatch.setattr(module, bound, value)
    assert any(reason in f.reason for f in check_folder(write(tmp_path, FILES)).refusals)


def test_an_empty_or_missing_folder_is_refused(tmp_path: Path) -> None:
    for folder in (tmp_path, tmp_path / "gone"):
        assert [(f.file, "no member" in f.reason) for f in check_folder(folder).refusals] == [("members", True)]


def test_the_same_file_twice_is_refused() -> None:
    files = [RuleFile(path, text.encode()) for path, text in FILES.items()]
    assert [(f.file, f.reason) for f in check_files([*files, files[0]]).refusals] == [(HOUSE, "this file is there twice")]


def test_a_line_is_found_or_nothing_is_said() -> None:
    text = FILES[OWN]
    assert line_of(text, "media.oil.schedule.bands[2].rate") == 8
    assert line_of(text, "media.nothing") is None
    assert line_of(text + '\nx = """\nmedia = 1\n"""', "media.oil.minimum") is None
    assert key_at(text, 7) == (7, "media.oil.minimum")
