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
        self.kit.ways.back()

    @property
    def view(self) -> AboutView:
        """All of it in words."""
        say = self.kit.speech.say
        return AboutView(
            title=say("About Rowend"),
            what=say(
                "Rowend notes how beds are planted with a paper-chain transplanter: a tap at each row end, misses, "
                "stops and depth, and the soil before it. It tells how fast it went and how full the beds are, without "
                "a network, and hands the entries over when there is one."
            ),
            care=say("Take care"),
            cautions="\n\n".join(f"• {say(caution)}" for caution in CAUTIONS),
            phone=say("This phone"),
            facts="\n".join(self._facts()),
            back=say("Back"),
        )

    def _facts(self) -> tuple[str, ...]:
        say, notebook = self.kit.speech.say, self.kit.notebook
        return (
            say("Farm: {farm}", farm=self.kit.facts().name or say("not paired")),
            say("Version: {version}", version=VERSION),
            say("Log: {device}", device=notebook.device.replace("-", " ")),  # to be read out, and to wrap
            say("Licence: {licence}. Free to use, copy and change; without any warranty.", licence=LICENCE),
        )
