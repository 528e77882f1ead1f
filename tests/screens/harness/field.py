"""The app on a fake phone, with a sync that goes nowhere by default."""

from __future__ import annotations

from collections.abc import Callable

from mobile.app import RowendApp, build_app
from mobile.demo.fake_phone import FakePhone
from mobile.device.parts import Parts
from mobile.log.notebook import Notebook
from tests.mobile.support.quiet_phone import QuietSync, parts_of


def app_on(
    phone: FakePhone,
    sync: QuietSync | None = None,
    parts: Parts | None = None,
    open_notebook: Callable[[], Notebook] | None = None,
) -> Callable[[], RowendApp]:
    """`run_app(app_on(phone))` opens the app on that phone."""
    opened = open_notebook or (lambda: phone.notebook)
    return lambda: build_app(parts or parts_of(phone), opened, lambda _notebook, _tell: sync or QuietSync())
