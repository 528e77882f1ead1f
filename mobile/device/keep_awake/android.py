"""The screen kept on by the app's window."""

from typing_extensions import override

from mobile.device.keep_awake.protocol import KeepAwake


class AndroidKeepAwake(KeepAwake):
    """Through Kivy's window, which asks Android."""

    @override
    def keep(self, on: bool) -> None:
        from kivy.core.window import Window  # noqa: PLC0415 - importing it opens the window

        Window.allow_screensaver = not on
