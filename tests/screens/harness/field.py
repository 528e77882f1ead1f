"""The app on a fake phone, with a sync that goes nowhere by default."""

from collections.abc import Callable

from mobile.app import RowendApp, build_app
from mobile.demo.fake_phone import FakePhone
from mobile.device.hardware import Hardware
from mobile.log.notebook import Notebook
from tests.mobile.support.quiet_phone import QuietSync, hardware_of


def app_on(
    phone: FakePhone,
    sync: QuietSync | None = None,
    hardware: Hardware | None = None,
    open_notebook: Callable[[], Notebook] | None = None,
) -> Callable[[], RowendApp]:
    """`run_app(app_on(phone))` opens the app on that phone."""
    opened = open_notebook or (lambda: phone.notebook)
    return lambda: build_app(hardware or hardware_of(phone), opened, lambda _notebook, _tell: sync or QuietSync())
