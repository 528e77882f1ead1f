"""Signed cookies and form tokens."""

import hashlib
import hmac

from itsdangerous import BadSignature, Signer
from sqlalchemy import Engine

from server.auth.known_places import KnownBrowser
from server.db.meta import get_or_set_meta

_KEY_NAME = "sealing key"


class CookieSigner:
    """Signs the office's cookies and forms with one key."""

    def __init__(self, key: str) -> None:
        self._cookies = Signer(key, salt="office cookie", digest_method=hashlib.sha256)
        self._forms = Signer(key, salt="office form", digest_method=hashlib.sha256)
        self._browsers = Signer(key, salt="known browser", digest_method=hashlib.sha256)

    def cookie(self, session: str) -> str:
        return self._cookies.sign(session).decode()

    def session(self, cookie: str) -> str | None:
        """The session of a cookie; None if the signature is not ours."""
        return _unsign(self._cookies, cookie)

    def browser_cookie(self, browser: KnownBrowser) -> str:
        return self._browsers.sign(browser.to_text()).decode()

    def browser(self, cookie: str) -> KnownBrowser | None:
        """The browser of a cookie; None if the signature is not ours."""
        text = _unsign(self._browsers, cookie)
        return None if text is None else KnownBrowser.from_text(text)

    def form_token(self, session: str) -> str:
        """The token that every form of this session carries, and no other site knows."""
        return self._forms.get_signature(session).decode()

    def is_form_token(self, token: str | None, session: str) -> bool:
        return hmac.compare_digest((token or "").encode(), self.form_token(session).encode())


def _unsign(signer: Signer, cookie: str) -> str | None:
    try:
        return signer.unsign(cookie.encode()).decode()
    except (BadSignature, UnicodeError):
        return None


def cookie_signer(engine: Engine, token: bytes) -> CookieSigner:
    """The signer of this service; its key is made of `token` at the first start."""
    return CookieSigner(get_or_set_meta(engine, _KEY_NAME, token.hex()))
