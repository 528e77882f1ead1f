"""What this app is, what to take care of, and which phone and farm this is."""

from __future__ import annotations

from dataclasses import dataclass

from mobile.presenters.base.presenter import Presenter

#: the version of pyproject.toml, which a phone does not have
VERSION = "0.1.0"
LICENCE = "MIT"

#: in plain words; common practice, no source
CAUTIONS = (
    "Heat: drink often, rest in shade, and stop when somebody feels dizzy or sick.",
    "Trays: carry them close to the body, with two hands. Two people for a heavy load.",
    "Pulling means walking backwards: look behind you first, and keep the path clear.",
    "Powered tillage: stay away while it works, and let it stand still before you touch it.",
    "Gloves and tools: mind fingers at the opener and at the press wheels.",
    "What this app tells is an estimate. Local rules and licensed practice come first.",
)


@dataclass(frozen=True, slots=True)
class AboutView:
    """Three parts, a heading each; the parts' lines are paragraphs."""

    title: str
    what: str
    care: str
    cautions: str
    phone: str
    facts: str
    back: str


class AboutPresenter(Presenter):
    """Only tells."""

    def back(self) -> None:
        """To the room before."""
        self.context.navigator.back()

    @property
    def view(self) -> AboutView:
        """All of it in words."""
        t = self.context.localizer.t
        return AboutView(
            title=t("About Rowend"),
            what=t(
                "Rowend notes how beds are planted with a paper-chain transplanter: a tap at each row end, misses, "
                "stops and depth, and the soil before it. It tells how fast it went and how full the beds are, without "
                "a network, and hands the entries over when there is one."
            ),
            care=t("Take care"),
            cautions="\n\n".join(f"• {t(caution)}" for caution in CAUTIONS),
            phone=t("This phone"),
            facts="\n".join(self._facts()),
            back=t("Back"),
        )

    def _facts(self) -> tuple[str, ...]:
        t, notebook = self.context.localizer.t, self.context.notebook
        return (
            t("Farm: {farm}", farm=self.context.facts().name or t("not paired")),
            t("Version: {version}", version=VERSION),
            t("Log: {device}", device=notebook.device.replace("-", " ")),  # to be read out, and to wrap
            t("Licence: {licence}. Free to use, copy and change; without any warranty.", licence=LICENCE),
        )
