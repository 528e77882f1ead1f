"""What the office signs: the cookie that names a session, and the token in each form of that session."""

from __future__ import annotations

import hashlib
import hmac

from itsdangerous import BadSignature, Signer
from sqlalchemy import Engine

from server.db.meta import noted_or

_NAME = "sealing key"


class CookieSigner:
    """Makes and checks them with one key."""

    def __init__(self, key: str) -> None:
        self._cookies = Signer(key, salt="office cookie", digest_method=hashlib.sha256)
        self._forms = Signer(key, salt="office form", digest_method=hashlib.sha256)

    def cookie(self, session: str) -> str:
        """What the browser keeps of a session."""
        return self._cookies.sign(session).decode()

    def session(self, cookie: str) -> str | None:
        """The session that a cookie names, if it is one of ours."""
        try:
            return self._cookies.unsign(cookie.encode()).decode()
        except (BadSignature, UnicodeError):
            return None

    def form_token(self, session: str) -> str:
        """What every form of this session carries, and no other site knows."""
        return self._forms.get_signature(session).decode()

    def is_form_token(self, token: str | None, session: str) -> bool:
        """Whether a form carries the token of this session."""
        return hmac.compare_digest((token or "").encode(), self.form_token(session).encode())


def seals_of(engine: Engine, token: bytes) -> CookieSigner:
    """The seals of this service; the key is made at its first start, of `token`."""
    return CookieSigner(noted_or(engine, _NAME, token.hex()))
