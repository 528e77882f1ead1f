"""The soil check: feel, residue, stones, clods, tillage, warmth; and at once whether the bed is fit, and why not."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any

from mobile.presenters.base.form import NOTHING_TOLD, REVIEW, Form, Number, Question
from mobile.presenters.base.labels import AMOUNTS, FEELS, READINESS, TEXTURES
from mobile.presenters.base.lists import beds, block_of
from mobile.presenters.base.options import Option
from mobile.presenters.base.presenter import Kit
from mobile.presenters.base.routes import Place
from mobile.presenters.sync.status import Held
from shared_models.core.units import SECONDS_PER_HOUR, fahrenheit_to_celsius
from shared_models.core.vocabulary import Amount, Feel, Readiness, Texture
from shared_models.trade.soil.feel import GUIDE, STEPS
from shared_models.trade.soil.readiness import SoilLook, Verdict, verdict

NEW_BED = "new"
SIGNS = {Readiness.READY: "✓", Readiness.WAIT: "▲", Readiness.NOT_FIT: "✕"}
#: what is offered as "tilled": so many hours ago today, so many days ago
HOURS_AGO, DAYS_AGO = (1, 3, 6, 9), (1, 2, 3, 4, 7, 14)
EARLIEST_HOUR = 4


class SoilForm(Form):
    """A look at one bed's soil."""

    title = "Soil check"

    def __init__(self, kit: Kit, **known: Any) -> None:
        self._now = kit.notebook.now().at
        super().__init__(kit, **known)

    def read(self) -> None:
        """Which beds there are, and the farm's own limits."""
        self._beds = {each.bed.id: each for each in beds(self.kit)}
        self._limits = self.kit.facts().soil_thresholds()

    @property
    def _texture(self) -> Texture | None:
        bed = self._beds.get(self._answers.get("bed", ""))
        known = bed.bed.texture if bed else None
        told = known or self._answers.get("texture")
        return Texture(told) if told else None

    def questions(self) -> Sequence[Question]:
        """The bed; its texture where nobody told it yet; then what there is to see."""
        asked = [self._ask_bed(), self._ask_feel(), self._ask_residue()]
        say = self.kit.speech.say
        asked += [self._ask_amount("stones", say("Stones"), say("How many stones lie in the planting zone?"))]
        asked += [self._ask_amount("clods", say("Clods"), say("How many clods lie on the bed?"))]
        asked += [self._ask_tilled(), self._ask_warmth()]
        bed = self._beds.get(self._answers.get("bed", ""))
        return asked if bed is None or bed.bed.texture else [asked[0], self._ask_texture(), *asked[1:]]

    def _ask_bed(self) -> Question:
        say = self.kit.speech.say
        options = tuple(Option(key, each.bed.name, block_of(each.bed)) for key, each in self._beds.items())
        return Question("bed", say("Bed"), say("Which bed?"), (*options, Option(NEW_BED, say("New bed"), sign="+")))

    def _ask_texture(self) -> Question:
        say = self.kit.speech.say
        options = tuple(Option(texture.value, say(text)) for texture, text in TEXTURES.items())
        return Question("texture", say("Soil"), say("What soil is it?"), options, needed=False)

    def _ask_feel(self) -> Question:
        say, texture = self.kit.speech.say, self._texture
        guide = GUIDE[texture] if texture else {}
        options = tuple(Option(feel.value, say(text), say(guide.get(feel, ""))) for feel, text in FEELS.items())
        steps = "\n".join(f"{place}. {say(step)}" for place, step in enumerate(STEPS, 1))
        return Question("feel", say("Feel"), say("How does a handful feel?"), options, how=steps)

    def _ask_residue(self) -> Question:
        say = self.kit.speech.say
        number = Number(start=5, step=5, highest=100, unit="%")
        return Question(
            "residue", say("Residue"), say("How much ground does residue cover?"), number=number, needed=False
        )

    def _ask_amount(self, key: str, name: str, ask: str) -> Question:
        say = self.kit.speech.say
        options = tuple(Option(amount.value, say(text)) for amount, text in AMOUNTS.items())
        return Question(key, name, ask, options, needed=False)

    def _ask_tilled(self) -> Question:
        say = self.kit.speech.say
        options = tuple(Option(str(hours), *self._when(hours)) for hours in self._hours_offered())
        return Question("tilled", say("Tilled"), say("When was the bed tilled?"), options, needed=False)

    def _hours_offered(self) -> list[float]:
        """Hours since tillage: some of today's, then the noons before."""
        local = self.kit.speech.local(self._now)
        today = [hours for hours in HOURS_AGO if local.hour - hours >= EARLIEST_HOUR]
        noon = datetime.combine(local.date(), time(12), local.tzinfo)
        return [*today, *((local - noon + timedelta(days=day)).total_seconds() / SECONDS_PER_HOUR for day in DAYS_AGO)]

    def _when(self, hours: float) -> tuple[str, str]:
        speech, at = self.kit.speech, self._now - timedelta(hours=hours)
        day = speech.day_by_itself(speech.local(at).date(), speech.local(self._now).date())
        return day, speech.say("about {span} ago", span=speech.span(hours))

    def _ask_warmth(self) -> Question:
        say, feet = self.kit.speech.say, self.kit.speech.feet
        number = Number(start=55, lowest=0, highest=130, unit="°F") if feet else Number(start=13, highest=55, unit="°C")
        return Question("warmth", say("Soil temperature"), say("How warm is the soil?"), number=number, needed=False)

    def said(self, question: Question, value: Any) -> str:
        """The bed by its name, the day of tillage with its hours."""
        if question.key == "tilled":
            return ", ".join(self._when(float(value)))
        return super().said(question, value)

    def pick(self, key: str) -> None:
        """A bed that is not there yet can be made."""
        if key == NEW_BED:
            self.kit.ways.go(Place.BED)
        else:
            super().pick(key)

    # the verdict

    @property
    def _soil_c(self) -> float | None:
        told = self._answers.get("warmth")
        return told if told is None or not self.kit.speech.feet else fahrenheit_to_celsius(told)

    def _verdict(self) -> Verdict | None:
        if "feel" not in self._answers:
            return None
        told = self._answers
        look = SoilLook(
            texture=self._texture,
            feel=Feel(told["feel"]),
            residue_pct=told.get("residue"),
            stones=Amount(told["stones"]) if "stones" in told else None,
            clods=Amount(told["clods"]) if "clods" in told else None,
            hours_since_tillage=float(told["tilled"]) if "tilled" in told else None,
            soil_c=self._soil_c,
        )
        return verdict(look, self._limits)

    def news(self) -> Held:
        """Ready, wait or not fit; and the reason. What would change it is told when all was looked at."""
        judged, say = self._verdict(), self.kit.speech.say
        if judged is None:
            return NOTHING_TOLD
        told, limiting = say(READINESS[judged.readiness]), judged.limiting
        if limiting is not None:
            told = f"{told}. {say(limiting.reason)}"
            told += f" {say(limiting.change)}" if self._at == REVIEW else ""
        return Held(SIGNS[judged.readiness], told, "plain" if judged.readiness is Readiness.READY else "caution")

    def save(self) -> None:
        """Write what was seen; a texture told for the first time belongs to the bed."""
        told, notebook = self._answers, self.kit.notebook
        if "texture" in told:
            notebook.write("bed", told["bed"], {"texture": told["texture"]})
        seen: dict[str, Any] = {key: told[key] for key in ("feel", "stones", "clods") if key in told}
        seen |= {"residue_pct": told["residue"]} if "residue" in told else {}
        seen |= {"soil_c": round(self._soil_c, 1)} if self._soil_c is not None else {}
        tilled_at = self._now - timedelta(hours=float(told["tilled"])) if "tilled" in told else None
        notebook.check_soil(told["bed"], tilled_at=tilled_at, **seen)
        self.kit.ways.go(Place.TODAY)
