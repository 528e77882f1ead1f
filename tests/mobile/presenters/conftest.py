"""The app context of a fake phone: presenters without a window."""

import pytest

from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext


@pytest.fixture
def context(crew: Crew) -> QuietContext:
    crew.wait(1)  # what is written from now on comes after the crew's records
    return QuietContext(crew.phone)
