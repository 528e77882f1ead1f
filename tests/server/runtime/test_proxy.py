"""Who says to be a proxy is believed only if the service was told of it."""

import http.client
import signal
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlencode, urlsplit

import pytest

from server.cli import main as cli
from server.runtime.uvicorn_server import listen, serving
from tests.server.support.service import Service
from tests.server.support.sign_in import GOOD, JOINED

HOST = "127.0.0.1"
NOWHERE = "192.0.2.7"


def send(port: int, path: str, typed: dict[str, str], **headers: str) -> tuple[int, str]:
    """Status and cookies of the answer to a form."""
    line = http.client.HTTPConnection(HOST, port, timeout=20)
    form = {"content-type": "application/x-www-form-urlencoded"}
    line.request("POST", path, urlencode(typed), form | {name.replace("_", "-"): headers[name] for name in headers})
    answer = line.getresponse()
    answer.read()
    line.close()
    return answer.status, "; ".join(answer.headers.get_all("set-cookie", []))


@pytest.mark.parametrize(
    ("proxies", "last"),
    [([], 429), ([NOWHERE], 429), ([HOST], 401), (["127.0.0.0/8"], 401), ([NOWHERE, HOST], 401)],
)
def test_who_guesses_gets_more_tries_by_another_forwarded_address_from_a_named_proxy_only(
    service: Service, monkeypatch: pytest.MonkeyPatch, proxies: list[str], last: int
) -> None:
    """A guesser may write any address into the header; behind a proxy, the address is the guesser's own."""
    monkeypatch.setenv("FORWARDED_ALLOW_IPS", "*")  # uvicorn's own setting changes nothing
    with listen(HOST, 0) as listening, serving(service.app, listening, proxies=proxies):
        port = listening.getsockname()[1]
        statuses = [
            send(port, "/sign-in", {"sign_in": f"n{n}", "password": "x"}, X_Forwarded_For=f"203.0.113.{n}")[0]
            for n in range(11)
        ]

    assert statuses == [401] * 10 + [last]


def test_what_a_guesser_puts_before_the_proxys_word_does_not_count(service: Service) -> None:
    with listen(HOST, 0) as listening, serving(service.app, listening, proxies=[HOST]):
        port = listening.getsockname()[1]
        statuses = [
            send(port, "/sign-in", {"sign_in": f"n{n}", "password": "x"}, X_Forwarded_For=f"10.0.0.{n}, 203.0.113.9")[0]
            for n in range(11)
        ]

    assert statuses[-1] == 429


@pytest.mark.parametrize(("proxies", "secure"), [([], False), ([NOWHERE], False), ([HOST], True)])
def test_cookies_go_by_tls_only_where_a_named_proxy_says_that_it_speaks_tls(
    service: Service, ana: str, proxies: list[str], *, secure: bool
) -> None:
    assert ana
    with listen(HOST, 0) as listening, serving(service.app, listening, proxies=proxies):
        typed = {"sign_in": "ana", "password": GOOD}
        status, cookies = send(listening.getsockname()[1], "/sign-in", typed, X_Forwarded_Proto="https")

    assert status == 303
    assert cookies.count("rowend_") == 2
    assert cookies.count("Secure") == (2 if secure else 0)


def test_behind_a_named_proxy_links_are_its_address_and_cookies_go_by_tls(tmp_path: Path) -> None:
    data = str(tmp_path / "data")
    assert cli.run(["farm", "new", "Heronbrook", "--zone", "UTC", "--data", data]) == 0
    with listen(HOST, 0) as listening:
        port = listening.getsockname()[1]
    words = ["--proxy", HOST, "--address", "https://farm.example/", "--port", str(port), "--data", data]
    command = [sys.executable, "-m", "server.cli.main", "serve", *words]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as program:  # noqa: S603 - our own
        assert program.stdout is not None
        address, link = program.stdout.readline(), program.stdout.readline().split()[-1]
        _, cookies = send(port, urlsplit(link).path, JOINED, X_Forwarded_Proto="https", X_Forwarded_For=NOWHERE)
        program.send_signal(signal.SIGINT)
        program.wait(timeout=20)

    assert address.startswith("Serving at https://farm.example. ")
    assert link.startswith("https://farm.example/enter/")
    assert cookies.count("Secure") == 2


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--proxy", "*", "--address", "https://farm.example"], "such as 127.0.0.1"),
        (["--proxy", "0.0.0.0/0", "--address", "https://farm.example"], "such as 127.0.0.1"),
        (["--proxy", "proxy.example", "--address", "https://farm.example"], "such as 127.0.0.1"),
        (["--proxy", HOST], "--address https://farm.example"),
        (["--proxy", HOST, "--address", "https://farm.example", "--tls"], "Leave out --tls"),
    ],
)
def test_a_proxy_that_cannot_be_meant_is_refused_with_what_to_do(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], words: list[str], told: str
) -> None:
    assert cli.run(["serve", *words, "--data", str(tmp_path / "data")]) == 2

    assert told in capsys.readouterr().err
    assert not (tmp_path / "data").exists()
