"""Lengths as a tape measure says them, to whole millimetres and back."""

import pytest

from yard.web.canvas.tape import TapeRefused, in_tape, needed_words, tape_mm


@pytest.mark.parametrize(
    ("text", "inches", "mm"),
    [
        ("1200", False, 1200),
        ("1200 mm", True, 1200),
        ("1.2 m", True, 1200),
        ("1,2 m", False, 1200),
        ("120cm", True, 1200),
        ("48", True, 1219),  # 48 x 25.4 = 1219.2
        ('47 1/4"', True, 1200),  # 1200.15
        ("47 1/4", True, 1200),
        ("1/2 in", False, 13),
        ("3' 11 1/4\"", True, 1200),  # 3 x 304.8 + 11.25 x 25.4 = 1200.15
        ("3' 11 1/4", True, 1200),
        ("2 yd", False, 1829),  # 1828.8
    ],
)
def test_a_length_is_read_as_it_is_written(text, inches, mm):
    assert tape_mm(text, inches=inches) == mm


@pytest.mark.parametrize("text", ["about a metre", "12 furlongs", "3 x 4", "1/0 in", "-5", '12 in or so"'])
def test_what_is_no_length_is_refused_with_how_to_write_one(text):
    with pytest.raises(TapeRefused, match=r"write|divided"):
        tape_mm(text, inches=False)


@pytest.mark.parametrize(
    ("mm", "words"), [(0, "0 in"), (1200, "47 1/4 in"), (1219, "48 in"), (13, "1/2 in"), (None, "")]
)
def test_it_is_said_to_the_nearest_eighth(mm, words):
    assert in_tape(mm, inches=True) == words


def test_and_back_within_a_sixteenth():
    for mm in range(0, 3000, 7):
        assert abs(tape_mm(in_tape(mm, inches=True), inches=True) - mm) <= 25.4 / 16 + 0.5


def test_what_is_needed_in_the_yards_own_unit():
    assert needed_words(3930, foam=False, inches=False) == "3.93 m"
    assert needed_words(3930, foam=False, inches=True) == "4.30 yd"  # 3930 / 914.4 = 4.298
    assert needed_words(24 * 457, foam=False, inches=True) == "12.00 yd"  # 24 half yards, each kept 0.2 mm short
    assert [needed_words(n, foam=True, inches=True) for n in (1, 2)] == ["1 sheet", "2 sheets"]
