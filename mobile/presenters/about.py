"""About the app, cautions, and which phone and farm this is."""

from dataclasses import dataclass

from mobile.presenters.base.presenter import Presenter

#: the version of pyproject.toml, which a phone does not have
VERSION = "0.1.0"
LICENSE = "MIT"

#: in plain words; common practice, no source
CAUTIONS = (
    "Heat: drink often, rest in the shade, and stop when anyone feels dizzy or sick.",
    "Trays: carry them close to your body, with both hands. Two people for a heavy load.",
    "Pulling means walking backwards: look behind you first, and keep the path clear.",
    "Power tillers: keep clear while they run, and let them stop before you touch them.",
    "Gloves and tools: watch your fingers at the opener and the press wheels.",
    "What this app shows is an estimate. Local rules and licensed professionals come first.",
)


@dataclass(frozen=True, slots=True)
class AboutView:
    """Three headings with their paragraphs."""

    title: str
    what: str
    care: str
    cautions: str
    phone: str
    facts: str
    back: str


class AboutPresenter(Presenter):
    """Shows, and changes nothing."""

    @property
    def view(self) -> AboutView:
        return AboutView(
            title=self.t("About Rowend"),
            what=self.t(
                "Rowend logs planting with a paper-chain transplanter: a tap at each row end, misses, stops, depth, "
                "and soil checks. It shows how fast it went and how full the beds are. It works without a network and "
                "syncs when there is one."
            ),
            care=self.t("Take care"),
            cautions="\n\n".join(f"• {self.t(caution)}" for caution in CAUTIONS),
            phone=self.t("This phone"),
            facts="\n".join(self._facts()),
            back=self.t("Back"),
        )

    def _facts(self) -> tuple[str, ...]:
        t, notebook = self.t, self.context.notebook
        return (
            t("Farm: {farm}", farm=self.context.facts().name or t("not paired")),
            t("Version: {version}", version=VERSION),
            t("Log: {device}", device=notebook.device.replace("-", " ")),  # to be read out, and to wrap
            t("License: {license}. Free to use, copy and change; no warranty.", license=LICENSE),
        )
