"""The app in the hand of somebody in the field: on a pretend phone, with a post that goes nowhere unless told."""

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
    """`run_app(app_on(phone))` takes the phone in the hand and opens the app."""
    opened = open_notebook or (lambda: phone.notebook)
    return lambda: build_app(parts or parts_of(phone), opened, lambda _notebook, _tell: sync or QuietSync())
