"""Read a form from a page of the office, fill it in and send it, as a browser does."""

from collections import defaultdict
from html.parser import HTMLParser
from urllib.parse import urljoin

import httpx2

from tests.server.support.service import BROWSER, Service


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
        values = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._inside = values.get("action") == self._action
        elif self._inside and tag == "input" and values.get("type") != "file":
            if values.get("type") != "checkbox" or "checked" in values:
                self.fields[values["name"]].append(values.get("value", ""))
        elif self._inside and tag == "select":
            self._select = values["name"]
            self.fields[self._select] = []
        elif self._inside and tag == "option" and ("selected" in values or not self.fields[self._select]):
            self.fields[self._select] = [values["value"]]
        elif self._inside and tag == "textarea":
            self._select, self._text = values["name"], "\0"

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
        filled = {
            name.replace("__", "."): [value] if isinstance(value, str) else value for name, value in typed.items()
        }
        unknown = filled.keys() - self.fields.keys() - {"crew", "save"}
        assert not unknown, f"no such fields: {unknown}"
        return self._service.client.post(
            urljoin(self._path, self._action), data=dict(self.fields) | filled, headers=BROWSER, follow_redirects=False
        )
