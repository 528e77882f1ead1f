"""Pairing: by the office's link, or with the service's address and the code the office gave; and this phone's name."""

from collections.abc import Sequence
from typing import Any

from mobile.presenters.base.form import NO_NOTICE, REVIEW, Form, Question
from mobile.presenters.base.options import Notice
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from shared_models.sync.pairing_link import PairingLink, is_link, read_link

#: what an address and a code look like
ADDRESS, CODE = "192.168.1.20:8000", "BCDF-GHJK"


class PairForm(Form):
    """Joins a farm's service. A link answers all but the phone's name; nothing is sent before a person agrees."""

    title = "Pair"
    saves = "Pair"

    def __init__(self, context: AppContext, link: str = "") -> None:
        super().__init__(context)
        known = {"address": context.notebook.setting("server"), "name": context.notebook.setting("phone_name")}
        self._answers |= {key: value for key, value in known.items() if value}
        self._link: PairingLink | None = None
        self._opened = bool(link)
        if link:
            self._try(lambda: self._follow(link))

    def _follow(self, link: str) -> None:
        self._answers.pop("address", None)
        self._link = read_link(link)
        self._answers |= {"address": self._link.addresses[0], "code": self._link.code}
        self._at = REVIEW if "name" in self._answers else "name"
        self._reached_review = True

    def questions(self) -> Sequence[Question]:
        return [
            Question("address", self.t("Address"), self.t("What is the service's address?"), writes=True, hint=ADDRESS),
            Question("code", self.t("Code"), self.t("What code did the office give you?"), writes=True, hint=CODE),
            Question("name", self.t("Name"), self.t("What is this phone called?"), writes=True),
        ]

    def forward(self) -> None:
        """As in any form; a link that was pasted for an address is followed."""
        if self._at == "address" and is_link(self._answers.get("address", "")):
            self._follow(self._answers["address"])
        else:
            super().forward()

    def format_answer(self, question: Question, value: Any) -> str:
        """An address without its scheme, a code in two groups as the office shows it."""
        if question.key == "address":
            return str(value).removeprefix("https://").removeprefix("http://")
        plain = len(value) == len(CODE) - 1 and value.isalpha()
        return f"{value[:4]}-{value[4:]}" if question.key == "code" and plain else str(value)

    def notice(self) -> Notice:
        if self._at != REVIEW:
            return NO_NOTICE
        t, paired_with = self.t, self.context.notebook.setting("server")
        if self._opened and paired_with is not None and paired_with != self._whole_address():
            return Notice(
                "▲", t("This phone is already paired. Continue only if your own office gave you this link."), "caution"
            )
        if self._pin is not None:
            return Notice("✓", t("Secure: this phone will connect only to the service in the link."), "plain")
        if self._whole_address().startswith("http://"):
            return Notice("▲", t("Not encrypted: use it only on a network you trust."), "caution")
        return NO_NOTICE

    @property
    def _pin(self) -> str | None:
        """The certificate of the link; without one, that of the service this phone is paired with already."""
        if self._link is not None:
            return self._link.pin
        setting = self.context.notebook.setting
        return setting("pin") if self._answers.get("address") == setting("server") else None

    def _whole_address(self) -> str:
        """The typed address with its scheme."""
        typed = self._answers.get("address", "").strip().rstrip("/")
        return typed if "://" in typed else f"{'https' if self._pin else 'http'}://{typed}"

    def save(self) -> None:
        answers, first = self._answers, self._whole_address()
        addresses = (first, *(other for other in self._other_addresses() if other != first))
        self.context.sync.pair(PairingLink(addresses, answers["code"], self._pin), answers["name"])
        if self._opened:
            self.context.navigator.go(Route.SYNC, instead=True)
        else:
            self.context.navigator.back()

    def _other_addresses(self) -> tuple[str, ...]:
        """What the link names besides, as long as it is what the person agreed to."""
        if self._link is None or self._link.addresses[0] != self._answers["address"]:
            return ()
        return self._link.addresses[1:]
