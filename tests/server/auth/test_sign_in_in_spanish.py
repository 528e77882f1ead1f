"""What is said at the office's door has its Spanish, also where it is looked up by what went wrong."""

from __future__ import annotations

import pytest

from server.office.people import account_routes, sign_in_routes
from server.office.people import accounts as access_page
from server.office.shell import public_pages
from server.render.localizer import FOLDER
from shared_models.core.vocabulary import Role
from shared_models.i18n.catalog import messages, po_file
from shared_models.i18n.labels import ROLES
from tests.server.support.service import Service
from tests.server.support.sign_in import JOINED, hash_cheaply

SPANISH = messages(po_file(FOLDER, "es").read_text("utf-8"))
TEXTS = [
    *sign_in_routes.TITLES.values(),
    *sign_in_routes.EXPLANATIONS.values(),
    *account_routes.DONE.values(),
    *public_pages.TITLES.values(),
    public_pages.OTHER_TITLE,
    *ROLES.values(),
    *access_page.MAY_DO.values(),
]
BROWSER = {"Accept": "text/html", "Accept-Language": "es"}


@pytest.mark.parametrize("text", TEXTS)
def test_a_text_that_is_looked_up_has_its_spanish(text: str) -> None:
    assert text in SPANISH


@pytest.fixture(autouse=True)
def cheap_passwords(service: Service) -> None:
    hash_cheaply(service)


def test_what_is_wrong_with_an_entry_is_told_in_spanish(service: Service, farm: str) -> None:
    service.account(farm, Role.CREW, "Ana")

    typed = JOINED | {"name": "", "password": "short", "again": "short"}
    page = service.client.post(service.link(farm), data=typed, headers=BROWSER).text

    for told in ("escriba un nombre", "este nombre de usuario ya existe", "al menos 10 caracteres"):
        assert told in page
    assert 'lang="es"' in page


def test_who_lacks_a_role_or_leaves_no_owner_reads_it_in_spanish(service: Service, farm: str) -> None:
    service.open_office(farm, Role.CREW)
    refused = service.client.get("/access", headers=BROWSER).text
    owner = service.account(farm, Role.OWNER, "Ines")
    service.open_office(farm, account=owner)
    form = {"form_token": service.form_token()}
    last = service.client.post(f"/access/{owner}/close", data=form, headers=BROWSER).text

    assert "Esto solo lo puede hacer: dueño." in refused
    assert "Ines es el único dueño de la finca. Primero haga dueño a alguien más." in last


def test_waiting_is_told_in_spanish(service: Service) -> None:
    typed = {"sign_in": "ana", "password": "x"}
    for _ in range(10):
        page = service.client.post("/sign-in", data=typed, headers=BROWSER).text
        assert "no van juntos" in page

    assert "Espere 300 segundos" in service.client.post("/sign-in", data=typed, headers=BROWSER).text
