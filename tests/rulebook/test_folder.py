"""Files and names: what is read, what is refused unread, and in what bounds."""

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from tests.rulebook.folders import FILES, HOUSE, LATER, OWN, check, write

from evenhang.rulebook import folder as module
from evenhang.rulebook.book import Checked, check_files, check_folder
from evenhang.rulebook.folder import RuleFile
from evenhang.rulebook.lines import key_at, line_of, lines_in


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
    (b".".join([b"a"] * 5000) + b" = 1", "nested more than 12", 1), (b"a = " + b"9" * 5000, "no TOML", None),
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


def test_a_folder_without_members_is_refused(tmp_path: Path) -> None:
    assert [(f.file, "no member" in f.reason) for f in check_folder(tmp_path).refusals] == [("members", True)]


def test_a_folder_that_is_none_is_called_so(tmp_path: Path) -> None:
    gone, file = tmp_path / "gone", tmp_path / "file"
    file.write_text("")
    assert [(f.file, f.reason) for f in check_folder(gone).refusals] == [("", f"there is no such folder: {gone}")]
    assert [(f.file, f.reason) for f in check_folder(file).refusals] == [("", f"this is no folder: {file}")]


def test_only_plain_files_are_opened(tmp_path: Path) -> None:
    """A pipe is never waited for, whether it lies there or a link leads to one; a link to a plain file is read."""
    write(tmp_path / "rules", FILES)
    (tmp_path / "rules" / HOUSE).rename(tmp_path / "elsewhere")
    (tmp_path / "rules" / HOUSE).symlink_to(tmp_path / "elsewhere")
    assert check_folder(tmp_path / "rules").refusals == ()
    os.mkfifo(tmp_path / "rules/house/2026-01-01.toml")
    (tmp_path / "rules" / LATER).symlink_to("/dev/null")
    found: list[Checked] = []
    reading = threading.Thread(target=lambda: found.append(check_folder(tmp_path / "rules")), daemon=True)
    reading.start()
    reading.join(10)
    assert {f.file for f in found[0].refusals if "no plain file" in f.reason} == {"house/2026-01-01.toml", LATER}


NOBODY = 65534
# Everything is read once before, for nobody may not even read the library.
AS_NOBODY = f"""
import os, sys
from pathlib import Path
from tests.rulebook.folders import FILES, check
from evenhang.rulebook.book import check_folder, told
check(FILES)
os.chdir(sys.argv[1])
if os.getuid() == 0:
    os.setresuid({NOBODY}, {NOBODY}, {NOBODY})
print(told(check_folder(Path("rules")).refusals))
"""


@pytest.mark.parametrize(("closed", "mode", "told"), [
    ("members/thimble-yard", 0o000, "members/thimble-yard"), ("members/thimble-yard", 0o400, OWN),
    ("members", 0o000, "members"), ("members", 0o400, "members/thimble-yard"), ("house", 0o000, "house"),
    (".", 0o000, "the folder"), (".", 0o400, "house"),
])  # fmt: skip
def test_a_folder_that_may_not_be_read_is_refused_by_name(tmp_path: Path, closed: str, mode: int, told: str) -> None:
    """As somebody else than the owner of the machine, who may read everything."""
    rules = write(tmp_path / "rules", {**FILES, OWN.replace("thimble-yard", "moss-end"): FILES[OWN]})
    tmp_path.chmod(0o711)
    if os.getuid() == 0:
        for path in (rules, *rules.rglob("*")):
            os.chown(path, NOBODY, -1)
    (rules / closed).chmod(mode)
    try:
        run = subprocess.run([sys.executable, "-c", AS_NOBODY, str(tmp_path)], capture_output=True, text=True, check=False)
    finally:
        (rules / closed).chmod(0o700)
    assert (run.returncode, run.stderr) == (0, "")
    assert f"{told}\n  refused  cannot be read: Permission denied" in run.stdout


def test_a_name_that_is_no_utf8_is_told_in_other_words(tmp_path: Path) -> None:
    write(tmp_path, FILES)
    Path(os.fsdecode(os.fsencode(tmp_path) + b"/house/2026-\xff.toml")).write_text("")
    for way in ([], ["--json"]):
        run = subprocess.run(
            [sys.executable, "-m", "evenhang", "check-rules", str(tmp_path), *way], capture_output=True, text=True, check=False
        )
        assert (run.returncode, run.stderr) == (1, "")
        assert "house/2026-" in run.stdout
        assert "is no day" in run.stdout


def test_the_same_file_twice_is_refused() -> None:
    files = [RuleFile(path, text.encode()) for path, text in FILES.items()]
    assert [(f.file, f.reason) for f in check_files([*files, files[0]]).refusals] == [(HOUSE, "this file is there twice")]


def test_a_line_is_found_or_nothing_is_said() -> None:
    text = FILES[OWN]
    lines = lines_in(text)
    assert line_of(lines, "media.oil.schedule.bands[2].rate") == 8
    assert line_of(lines, "media.nothing") is None
    assert line_of(lines_in(text + '\nx = """\nmedia = 1\n"""'), "media.oil.minimum") is None
    assert key_at(text, 7) == (7, "media.oil.minimum")


@pytest.mark.parametrize(("text", "faults"), [
    ("minimun = 1\nx = [\n[" + " " * 1600 + "\n1]]\n", 2),
    ("".join(f"key{i} = 1\n" for i in range(2000)), 1000),
    (".".join(["a"] * 20_000) + " = 1", 1), (" . ".join(["a"] * 15_000) + " = 1", 1), (".".join(["\"\\\"\""] * 12_000) + " = 1", 1),
    ("[" + ".".join(["a"] * 20_000) + "]", 1), ("x = {" + ".".join(["'a'"] * 16_000) + " = 1}", 1),
])  # fmt: skip
def test_a_small_file_takes_little_time(text: str, faults: int) -> None:
    """At most 64 kB may be sent to be checked, while nobody else is answered: a second or less, where it once was ten."""
    start = time.process_time()
    assert len(check({**FILES, LATER: text}).refusals) == faults
    assert time.process_time() - start < 3
