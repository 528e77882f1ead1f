"""The first frame: the app's name, until the notebook is open. Where it cannot be opened, why, and a second try."""
# mypy: disallow-subclassing-any=False

from kivy.properties import StringProperty

from mobile.screens.base.theme import Page, load_kv


class SplashScreen(Page):
    """Shows the name; with `trouble`, what is wrong."""

    trouble = StringProperty()
    again = StringProperty()
    __events__ = ("on_retry",)

    def __init__(self) -> None:
        load_kv("base/theme", "base/splash")
        super().__init__()

    def on_retry(self) -> None:
        """Kivy's default handler: nothing."""

    def show_trouble(self, trouble: str, again: str) -> None:
        self.trouble, self.again = trouble, again

    def leave(self) -> None:
        """As a `Screen`; nothing runs here."""
