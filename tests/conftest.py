"""What every test may ask for: `page` (a browser), `postgres_url` (a database). Also how Kivy behaves under tests."""

import gc
import os
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import settings

from tests.fixtures.browser import browser, page
from tests.fixtures.catalogs import compile_catalogs
from tests.fixtures.postgres import postgres_server, postgres_url

__all__ = ["browser", "page", "postgres_server", "postgres_url"]

pytest_plugins = ["tests.published.support.plugin"]

KIVY_UNDER_TESTS = {
    "KIVY_NO_ARGS": "1",  # else Kivy reads the arguments of the tests
    "KIVY_NO_CONFIG": "1",  # nobody's settings
    "KIVY_NO_ENV_CONFIG": "1",
    "KIVY_NO_FILELOG": "1",
    "KIVY_NO_CONSOLELOG": "1",
    "KIVY_LOG_MODE": "PYTHON",  # else Kivy takes over standard error
    "SDL_AUDIODRIVER": "dummy",
    "LIBGL_ALWAYS_SOFTWARE": "1",
    "LP_NUM_THREADS": "0",  # draw in the test's own thread: the processes share the cores already
}

TESTS = Path(__file__).parent
#: windows draw, and journeys and simulations run the same lines thousands of times
UNTRACED = {TESTS / "screens", TESTS / "journeys", TESTS / "published", TESTS / "shared_models" / "trade" / "stats"}

# the same examples every time, however busy the machine; `--hypothesis-profile=hunt` looks for new ones
settings.register_profile("steady", deadline=None, derandomize=True)
settings.register_profile("hunt", deadline=None, max_examples=2000)
settings.load_profile("steady")


def pytest_configure(config: pytest.Config) -> None:
    """Compile the translations, and set up the surroundings for Kivy, which reads them at its first import."""
    compile_catalogs()
    home = tempfile.mkdtemp(prefix="rowend-kivy-")
    config.add_cleanup(lambda: shutil.rmtree(home, ignore_errors=True))
    os.environ.update(KIVY_UNDER_TESTS, KIVY_HOME=home)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Measure no coverage where tracing costs most and shows nothing new.

    Of a test with parameters the first set is traced; property tests, which are many examples in one, are not.
    """
    traced: set[tuple[Path, str]] = set()
    for item in items:
        test = item.path, item.nodeid.partition("[")[0]
        is_property = getattr(getattr(item, "obj", None), "is_hypothesis_test", False)
        if is_property or test in traced or not UNTRACED.isdisjoint(item.path.parents):
            item.add_marker(pytest.mark.no_cover)
        traced.add(test)


def pytest_collection_finish() -> None:
    """Thousands of tests and their modules stay until the end; let no collection of garbage look through them again."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(20_000, 20, 20)
