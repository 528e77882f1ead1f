"""Errors of sign-in and roles in Spanish."""

from shared_models.core.vocabulary import Role
from tests.server.support.service import Service
from tests.server.support.sign_in import JOINED

BROWSER = {"Accept": "text/html", "Accept-Language": "es"}


def test_what_is_wrong_with_an_entry_is_told_in_spanish(service: Service, farm: str) -> None:
    service.account(farm, Role.CREW, "Ana")

    typed = JOINED | {"name": "", "password": "short", "again": "short"}
    page = service.client.post(service.link(farm), data=typed, headers=BROWSER).text

    for text in ("escriba un nombre", "este nombre de usuario ya existe", "al menos 10 caracteres"):
        assert text in page
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
