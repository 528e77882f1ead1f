"""Pairing by link, without a window: what is shown before a person agrees, and what is sent then."""

import pytest

from mobile.presenters.base.form import REVIEW
from mobile.presenters.sync.pair import PairForm
from shared_models.sync.pairing_link import PairingLink
from tests.mobile.conftest import Crew
from tests.mobile.support.quiet_phone import QuietContext

PIN = "9f" * 32
LINK = f"rowend://pair?at=https://10.0.0.7:8000&at=https://farm.example&code=BCDFGHJK&pin={PIN}"


def test_a_link_leaves_only_the_phones_name_to_be_asked(context: QuietContext) -> None:
    form = PairForm(context, LINK)
    ask = form.view.ask
    form.attempt(form.put, "Ines")
    form.attempt(form.forward)

    view = form.view
    assert ask == "What is this phone called?"
    assert [(each.text, each.detail) for each in view.options] == [
        ("Address", "10.0.0.7:8000"),
        ("Code", "BCDF-GHJK"),
        ("Name", "Ines"),
    ]
    assert view.notice.text == "Secure: this phone will connect only to the service in the link."
    assert context.sync.pairings == []


def test_nothing_is_sent_before_the_person_agrees(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(phone_name="Ines")
    form = PairForm(context, LINK)
    shown, sent_before = form.view.kind, list(context.sync.pairings)
    form.attempt(form.forward)

    assert (shown, sent_before) == (REVIEW, [])
    assert context.sync.pairings == [
        (PairingLink(("https://10.0.0.7:8000", "https://farm.example"), "BCDFGHJK", PIN), "Ines")
    ]
    assert context.navigator.last == "sync"


def test_a_paired_phone_is_warned_of_links_that_lead_elsewhere(context: QuietContext, crew: Crew) -> None:
    """Any page can open a link; a phone that follows it hands its entries to whoever made it."""
    crew.notebook.change_settings(server="https://10.0.0.1:8000", pin=PIN, phone_name="Ines")
    elsewhere = PairForm(context, LINK).view.notice
    crew.notebook.change_settings(server="https://10.0.0.7:8000")
    same = PairForm(context, LINK).view.notice

    assert elsewhere.text == "This phone is already paired. Continue only if your own office gave you this link."
    assert same.text.startswith("Secure: ")


def test_another_address_is_still_held_to_the_certificate_of_the_link(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(phone_name="Ines")
    form = PairForm(context, LINK)
    form.attempt(form.pick, "address")
    form.attempt(form.put, "10.0.0.8:8000")
    form.attempt(form.forward)
    form.attempt(form.forward)

    assert context.sync.pairings == [(PairingLink(("https://10.0.0.8:8000",), "BCDFGHJK", PIN), "Ines")]


def test_the_certificate_is_not_given_up_for_plain_http(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(phone_name="Ines")
    form = PairForm(context, LINK)
    form.attempt(form.pick, "address")
    form.attempt(form.put, "http://10.0.0.7:8000")
    form.attempt(form.forward)
    form.attempt(form.forward)

    assert context.sync.pairings == []
    assert "its address must start with https" in form.trouble


@pytest.mark.parametrize(
    "link", ["rowend://pair", "rowend://pair?at=https://a&code=B", f"{LINK}&more=1", LINK.replace("9f9f", "9g9f")]
)
def test_a_bad_link_is_told_and_a_code_may_be_typed_instead(context: QuietContext, link: str) -> None:
    form = PairForm(context, link)

    assert form.trouble.startswith("This cannot be used to pair: ")
    assert form.view.ask == "What is the service's address?"


def test_a_link_that_was_pasted_for_an_address_is_followed(context: QuietContext) -> None:
    form = PairForm(context)
    form.attempt(form.put, f" {LINK} ")
    form.attempt(form.forward)
    named = form.view.ask
    form.attempt(form.put, "Ines")
    form.attempt(form.forward)
    form.attempt(form.forward)

    assert named == "What is this phone called?"
    ((link, name),) = context.sync.pairings
    assert (link.pin, name) == (PIN, "Ines")
    assert context.navigator.last == "back"


def test_a_bad_link_that_was_pasted_stays_to_be_mended(context: QuietContext) -> None:
    form = PairForm(context)
    form.attempt(form.put, LINK[:-1])
    form.attempt(form.forward)

    assert "fingerprint is damaged" in form.trouble
    assert form.view.ask == "What is the service's address?"


def test_plain_http_is_said_to_be_for_trusted_networks(context: QuietContext) -> None:
    form = PairForm(context)
    for answer in ("10.0.0.7:8000", "BCDF-GHJK", "Ines"):
        form.attempt(form.put, answer)
        form.attempt(form.forward)

    assert form.view.notice.text == "Not encrypted: use it only on a network you trust."
    assert form.view.notice.sign == "▲"


def test_pairing_again_by_code_keeps_the_certificate_of_the_same_address(context: QuietContext, crew: Crew) -> None:
    crew.notebook.change_settings(server="https://10.0.0.7:8000", pin=PIN, phone_name="Ines")
    form = PairForm(context)
    for answer in (form.view.text, "BCDF-GHJK", "Ines"):
        form.attempt(form.put, answer)
        form.attempt(form.forward)
    form.attempt(form.forward)

    assert context.sync.pairings == [(PairingLink(("https://10.0.0.7:8000",), "BCDF-GHJK", PIN), "Ines")]


def test_what_is_no_address_is_told(context: QuietContext) -> None:
    form = PairForm(context)
    for answer in ("the barn", "BCDF-GHJK", "Ines"):
        form.attempt(form.put, answer)
        form.attempt(form.forward)
    form.attempt(form.forward)

    assert context.sync.pairings == []
    assert "its address is not valid" in form.trouble
