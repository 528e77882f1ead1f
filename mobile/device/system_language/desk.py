"""A desk's language."""

import os
from collections.abc import Mapping

from mobile.device.system_language.protocol import supported

#: in the order in which gettext asks them
VARIABLES = ("LANGUAGE", "LC_ALL", "LC_MESSAGES", "LANG")


def desk_language(environment: Mapping[str, str] = os.environ) -> str:
    """The language that the environment asks for."""
    wanted = next((value for name in VARIABLES if (value := environment.get(name))), "")
    return supported(wanted.partition(":")[0])
