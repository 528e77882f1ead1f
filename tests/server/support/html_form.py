"""A form of the office as a browser without scripts reads it from a page, fills it in and sends it."""

from __future__ import annotations

from collections import defaultdict
from html.parser import HTMLParser
from urllib.parse import urljoin

import httpx2

from tests.server.support.world import Service

BROWSER = {"Accept": "text/html"}


class FormPage(HTMLParser):
    """The form of a page that is sent to `action`; its fields as they stand, or as an `answer` to it has them."""

    def __init__(self, service: Service, path: str, action: str = "", *, answer: httpx2.Response | None = None) -> None:
        super().__init__()
        self._service, self._path = service, path
        self._action, self._inside, self._text = action or path.partition("?")[0], False, ""
        self._select = ""
        self.fields: dict[str, list[str]] = defaultdict(list)
        if answer is None:
            answer = service.client.get(path, headers=BROWSER)
            assert answer.status_code == 200, answer.text
        self.page = answer.text
        self.feed(answer.text)
        assert self.fields, f"no form for {self._action}"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        told = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._inside = told.get("action") == self._action
        elif self._inside and tag == "input" and told.get("type") != "file":
            if told.get("type") != "checkbox" or "checked" in told:
                self.fields[told["name"]].append(told.get("value", ""))
        elif self._inside and tag == "select":
            self._select = told["name"]
            self.fields[self._select] = []
        elif self._inside and tag == "option" and ("selected" in told or not self.fields[self._select]):
            self.fields[self._select] = [told["value"]]
        elif self._inside and tag == "textarea":
            self._select, self._text = told["name"], "\0"

    def handle_data(self, data: str) -> None:
        if self._text:
            self._text += data

    def handle_endtag(self, tag: str) -> None:
        if tag == "textarea" and self._inside:
            self.fields[self._select] = [self._text[1:].removeprefix("\n")]
            self._text = ""
        elif tag == "form":
            self._inside = False

    def send(self, **typed: str | list[str]) -> httpx2.Response:
        """Fill in some fields (a dot in a name is written `__`) and send the form."""
        told = {name.replace("__", "."): [value] if isinstance(value, str) else value for name, value in typed.items()}
        strange = told.keys() - self.fields.keys() - {"crew", "save"}
        assert not strange, f"no such fields: {strange}"
        return self._service.client.post(
            urljoin(self._path, self._action), data=dict(self.fields) | told, headers=BROWSER, follow_redirects=False
        )
