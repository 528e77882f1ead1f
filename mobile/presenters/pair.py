"""Pairing: the service's address, the code the office gave, and what this phone is called there."""

from __future__ import annotations

from collections.abc import Sequence

from mobile.presenters.kit import Kit
from mobile.presenters.questions import Form, Question

#: what an address and a code look like
ADDRESS, CODE = "192.168.1.20:8000", "BCDF-GHJK"


class PairForm(Form):
    """Joins a farm's service."""

    title = "Pair"
    saves = "Pair"

    def __init__(self, kit: Kit) -> None:
        super().__init__(kit)
        known = {"address": kit.notebook.setting("server"), "name": kit.notebook.setting("phone_name")}
        self._answers |= {key: value for key, value in known.items() if value}

    def questions(self) -> Sequence[Question]:
        """Three things to type."""
        say = self.kit.speech.say
        return [
            Question("address", say("Address"), say("What is the address of the service?"), writes=True, hint=ADDRESS),
            Question("code", say("Code"), say("Which code did the office give?"), writes=True, hint=CODE),
            Question("name", say("Name"), say("What is this phone called?"), writes=True),
        ]

    def save(self) -> None:
        """Send the courier with the code; how it went is told where handing over is."""
        told = self._answers
        address = told["address"] if "://" in told["address"] else f"http://{told['address']}"
        self.kit.post.pair(address, told["code"], told["name"])
        self.kit.ways.back()
