"""The soil check: feel, residue, stones, clods, tillage, temperature; with the verdict and its reason at once."""

from collections.abc import Sequence
from datetime import datetime, time, timedelta
from typing import Any

from mobile.presenters.base.form import NO_NOTICE, REVIEW, Form, Question
from mobile.presenters.base.lists import beds, block_of
from mobile.presenters.base.numbers import control_of, stored
from mobile.presenters.base.options import Notice, Option
from mobile.presenters.base.presenter import AppContext
from mobile.presenters.base.routes import Route
from shared_models.core.units import SECONDS_PER_HOUR
from shared_models.core.vocabulary import Amount, Feel, Readiness, Texture
from shared_models.i18n.labels import AMOUNTS, FEELS, READINESS, TEXTURES
from shared_models.trade.soil.feel import GUIDE, STEPS
from shared_models.trade.soil.readiness import SoilObservation, Verdict, verdict

SIGNS = {Readiness.READY: "✓", Readiness.WAIT: "▲", Readiness.NOT_FIT: "✕"}
#: choices for "tilled": hours ago today, and days ago
HOURS_AGO, DAYS_AGO = (1, 3, 6, 9), (1, 2, 3, 4, 7, 14)
EARLIEST_HOUR = 4


class SoilCheckForm(Form):
    """A check of one bed's soil."""

    title = "Soil check"

    def __init__(self, context: AppContext, **known: Any) -> None:
        self._now = context.notebook.now().at
        super().__init__(context, **known)

    def read(self) -> None:
        self._beds = {each.bed.id: each for each in beds(self.context)}
        self._limits = self.context.facts().soil_thresholds()

    @property
    def _texture(self) -> Texture | None:
        bed = self._beds.get(self._answers.get("bed", ""))
        known = bed.bed.texture if bed else None
        texture = known or self._answers.get("texture")
        return Texture(texture) if texture else None

    def questions(self) -> Sequence[Question]:
        questions = [self._ask_bed(), self._ask_feel(), self._ask_residue()]
        questions += [self._ask_amount("stones", self.t("Stones"), self.t("Stones where you plant?"))]
        questions += [self._ask_amount("clods", self.t("Clods"), self.t("Clods on the bed?"))]
        questions += [self._ask_tilled(), self._ask_warmth()]
        bed = self._beds.get(self._answers.get("bed", ""))
        return questions if bed is None or bed.bed.texture else [questions[0], self._ask_texture(), *questions[1:]]

    def _ask_bed(self) -> Question:
        options = tuple(Option(key, each.bed.name, block_of(each.bed)) for key, each in self._beds.items())
        return Question("bed", self.t("Bed"), self.t("Which bed?"), options, new=(Route.BED, self.t("New bed")))

    def _ask_texture(self) -> Question:
        options = tuple(Option(texture.value, self.t(text)) for texture, text in TEXTURES.items())
        return Question("texture", self.t("Soil"), self.t("What kind of soil?"), options, needed=False)

    def _ask_feel(self) -> Question:
        t, texture = self.t, self._texture
        guide = GUIDE[texture] if texture else {}
        options = tuple(Option(feel.value, t(text), t(guide.get(feel, ""))) for feel, text in FEELS.items())
        steps = "\n".join(f"{place}. {t(step)}" for place, step in enumerate(STEPS, 1))
        return Question("feel", t("Feel"), t("How does a handful feel?"), options, how=steps)

    def _ask_residue(self) -> Question:
        t, number = self.t, control_of("soil_check", "residue_pct", self.localizer)
        return Question("residue", t("Residue"), t("Residue cover?"), number=number, needed=False)

    def _ask_amount(self, key: str, name: str, ask: str) -> Question:
        options = tuple(Option(amount.value, self.t(text)) for amount, text in AMOUNTS.items())
        return Question(key, name, ask, options, needed=False)

    def _ask_tilled(self) -> Question:
        options = tuple(Option(str(hours), *self._when(hours)) for hours in self._hours_offered())
        return Question("tilled", self.t("Tilled"), self.t("When was it tilled?"), options, needed=False)

    def _hours_offered(self) -> list[float]:
        """Hours since tillage: some of today's, then earlier noons."""
        local = self.localizer.local(self._now)
        today = [hours for hours in HOURS_AGO if local.hour - hours >= EARLIEST_HOUR]
        noon = datetime.combine(local.date(), time(12), local.tzinfo)
        return [*today, *((local - noon + timedelta(days=day)).total_seconds() / SECONDS_PER_HOUR for day in DAYS_AGO)]

    def _when(self, hours: float) -> tuple[str, str]:
        localizer, at = self.localizer, self._now - timedelta(hours=hours)
        day = localizer.day_by_itself(localizer.local(at).date(), localizer.local(self._now).date())
        return day, localizer.t("about {span} ago", span=localizer.span(hours))

    def _ask_warmth(self) -> Question:
        t, number = self.t, control_of("soil_check", "soil_c", self.localizer)
        return Question("warmth", t("Soil temperature"), t("How warm is the soil?"), number=number, needed=False)

    def format_answer(self, question: Question, value: Any) -> str:
        if question.key == "tilled":
            return ", ".join(self._when(float(value)))
        return super().format_answer(question, value)

    # the verdict

    @property
    def _soil_c(self) -> float | None:
        degrees = self._answers.get("warmth")
        return None if degrees is None else stored("soil_check", "soil_c", degrees, self.localizer)

    def _verdict(self) -> Verdict | None:
        if "feel" not in self._answers:
            return None
        answers = self._answers
        look = SoilObservation(
            texture=self._texture,
            feel=Feel(answers["feel"]),
            residue_pct=answers.get("residue"),
            stones=Amount(answers["stones"]) if "stones" in answers else None,
            clods=Amount(answers["clods"]) if "clods" in answers else None,
            hours_since_tillage=float(answers["tilled"]) if "tilled" in answers else None,
            soil_c=self._soil_c,
        )
        return verdict(look, self._limits)

    def notice(self) -> Notice:
        judged, t = self._verdict(), self.localizer.t
        if judged is None:
            return NO_NOTICE
        text, limiting = t(READINESS[judged.readiness]), judged.limiting
        if limiting is not None:
            text = f"{text}. {t(limiting.reason)}"
            text += f" {t(limiting.change)}" if self._at == REVIEW else ""
        return Notice(SIGNS[judged.readiness], text, "plain" if judged.readiness is Readiness.READY else "caution")

    def save(self) -> None:
        """Write what was seen; a texture entered for the first time goes to the bed."""
        answers, notebook = self._answers, self.context.notebook
        if "texture" in answers:
            notebook.write("bed", answers["bed"], {"texture": answers["texture"]})
        seen: dict[str, Any] = {key: answers[key] for key in ("feel", "stones", "clods") if key in answers}
        seen |= {"residue_pct": answers["residue"]} if "residue" in answers else {}
        seen |= {"soil_c": self._soil_c} if self._soil_c is not None else {}
        tilled_at = self._now - timedelta(hours=float(answers["tilled"])) if "tilled" in answers else None
        notebook.check_soil(answers["bed"], tilled_at=tilled_at, **seen)
        self.context.navigator.go(Route.TODAY)
