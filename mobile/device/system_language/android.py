"""Android's language."""

from collections.abc import Callable
from typing import Any

from mobile.device.system_language.protocol import SystemLanguage, supported


def android_language(autoclass: Callable[[str], Any]) -> SystemLanguage:
    """The first language of Android's settings, read anew each time: a person may change it while the app waits."""
    return lambda: supported(str(autoclass("java.util.Locale").getDefault().getLanguage()))
