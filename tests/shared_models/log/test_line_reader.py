"""A page is taken in by many transactions, and each of its lines is read once."""

import pytest

from shared_models.errors import LineRefused
from shared_models.log.line_reader import LineReader
from tests.shared_models.log.device import PHONE, TABLET, line


def test_a_line_is_read_once_and_each_log_has_its_own() -> None:
    """What was read the first time is what comes back, whatever the text is then."""
    read = LineReader()

    first, other = read(PHONE, 1, line(1)), read(TABLET, 1, line(1))

    assert read(PHONE, 1, "{") is first
    assert (first.device, other.device) == (PHONE, TABLET)


def test_what_is_no_line_is_refused_each_time() -> None:
    read = LineReader()

    for _ in range(2):
        with pytest.raises(LineRefused) as refused:
            read(PHONE, 3, "{")
        assert (refused.value.device, refused.value.seq) == (PHONE, 3)
