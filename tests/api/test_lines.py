"""Lines of a body: each once and whole, the too long ones let go, and a turn for others between them."""

import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from evenhang.api.limits import CHUNK, LONGEST_LINE
from evenhang.api.lines import lines_of


def read(body: bytes) -> list[tuple[int, bytes]]:
    """The lines without the signs between them."""
    return [(number, line) for number, line in lines_of(io.BytesIO(body)) if line]


@given(st.lists(st.binary(max_size=40).map(lambda b: b.replace(b"\n", b"")), max_size=20), st.sampled_from([b"\n", b"\r\n"]))
def test_each_line_comes_once_with_its_number(lines: list[bytes], end: bytes) -> None:
    said = [(i, line.strip(b" \t\r")) for i, line in enumerate(lines, 1) if line.strip(b" \t\r")]
    assert read(end.join(lines)) == said
    assert read(end.join([*lines, b""])) == said


@pytest.mark.parametrize("end", [b"", b"\n", b"\r\n"])
@pytest.mark.parametrize("more", [0, 1, 2, 3, LONGEST_LINE, 3 * LONGEST_LINE])
def test_a_line_that_is_too_long_is_seen_to_be_and_does_not_touch_the_next(end: bytes, more: int) -> None:
    found = read(b"first\n" + b"x" * (LONGEST_LINE + more) + end + (b"last" if end else b""))
    assert [(number, len(line) > LONGEST_LINE) for number, line in found] == [
        (1, False), (2, more > 0), *([(3, False)] if end else []),
    ]  # fmt: skip
    assert found[-1][1] == b"last" or not end
    assert max(len(line) for _, line in found) <= LONGEST_LINE + 2


def test_what_follows_blanks_in_a_line_too_long_is_not_passed_over_in_silence() -> None:
    assert [len(line) > LONGEST_LINE for _, line in read(b" " * 2 * LONGEST_LINE + b"{}\n")] == [True]


@pytest.mark.parametrize("body", [b"\n" * 200_000, b"{}\n" * 100_000, (b"x" * 900 + b"\n") * 300, b"x" * 500_000])
def test_others_get_their_turn_after_each_chunk_however_the_lines_are_made(body: bytes) -> None:
    file = io.BytesIO(body)
    turns = [0]
    for _, line in lines_of(file):
        if not line:
            turns.append(file.tell())
    most = CHUNK + 1_000 if b"\n" in body else 2 * (LONGEST_LINE + 2)  # the line, and the first piece that is let go
    assert max(later - turn for turn, later in zip(turns, turns[1:], strict=False)) <= most
    assert len(turns) > len(body) // (most + 1)


def test_the_file_is_closed_at_the_end_and_where_the_reader_stops() -> None:
    whole, left = io.BytesIO(b"a\nb\n"), io.BytesIO(b"a\nb\n")
    list(lines_of(whole))
    lines = lines_of(left)
    next(lines)
    assert not left.closed
    lines.close()  # type: ignore[attr-defined]  # a generator
    assert whole.closed
    assert left.closed
