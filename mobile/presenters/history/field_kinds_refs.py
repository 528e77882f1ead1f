"""How what an entry refers to is said, asked for and written: beds, sowings, plantings, a crew, stops, places."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from mobile.presenters.base.form import Question
from mobile.presenters.base.lists import beds, block_of, people, plantings, sowings
from mobile.presenters.base.options import Option
from mobile.presenters.history.field_kinds import Answers, Counted, FieldContext, FieldKind, question
from shared_models.core.moments import elapsed_s
from shared_models.i18n.labels import STOPS
from shared_models.records.tables import Sowing
from shared_models.reports.audit.entries import Names
from shared_models.reports.audit.retiming import stops_of
from shared_models.reports.common.references import UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON

TAKE_AWAY, WHICH = "take away", "which"
#: of the plantings of many seasons only the last ones are offered
MOST_PLANTINGS = 40


def sowing_name(sowing: Sowing) -> str:
    """A sowing as people call it."""
    code = f"({sowing.code})" if sowing.code else ""
    return " ".join(part for part in (sowing.crop, sowing.variety, code) if part)


def planting_name(told: FieldContext, names: Names, planting: str) -> str:
    """A planting as people call it: bed and crop."""
    t, found = told.localizer.t, names.plantings.get(planting)
    bed = names.beds.get(found.bed) if found else None
    sowing = names.sowings.get(found.sowing) if found else None
    return f"{bed.name if bed else t(UNKNOWN_BED)} · {sowing.crop if sowing else t(UNKNOWN_CROP)}"


class InBed(FieldKind):
    """The bed of a soil check."""

    def said(self, told: FieldContext) -> str:
        """Its name."""
        bed = told.names.beds.get(told.value)
        return bed.name if bed else told.localizer.t(UNKNOWN_BED)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """One of the beds in use."""
        return [
            question(told, *(Option(each.bed.id, each.bed.name, block_of(each.bed)) for each in beds(told.context)))
        ]


class OfSowing(FieldKind):
    """The sowing of a tray check."""

    def said(self, told: FieldContext) -> str:
        """Its crop and code."""
        sowing = told.names.sowings.get(told.value)
        return sowing_name(sowing) if sowing else told.localizer.t(UNKNOWN_CROP)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """One of the sowings, the last one first."""
        return [question(told, *(Option(each.id, sowing_name(each)) for each in sowings(told.context)))]


class InPlanting(FieldKind):
    """The planting of a stand count."""

    def said(self, told: FieldContext) -> str:
        """Bed and crop."""
        return planting_name(told, told.names, told.value)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """One of the last plantings."""
        return [question(told, *self._options(told))]

    def _options(self, told: FieldContext) -> Iterable[Option]:
        for each in plantings(told.context)[:MOST_PLANTINGS]:
            day = each.planting.planned_on
            planned = told.localizer.day(day, told.today) if day else ""
            yield Option(each.planting.id, f"{each.place.bed} · {each.place.crop}", planned)


class PlantingOfRow(InPlanting):
    """The planting of a row: the row is moved, as a whole bed of them would be."""

    def write(self, told: FieldContext, answers: Answers) -> None:
        """Move it; one that cannot stand as it is, is only corrected."""
        to, was, bad = answers[told.field.key], told.value, told.entry.problems
        known = was in told.names.plantings and told.names.plantings[was].bed in told.names.beds
        if bad or not known:
            super().write(told, answers)
        else:
            told.context.notebook.move_rows(was, to, [told.entry.key.id])


class _OfPlanting(FieldKind):
    """What a planting is made of: its rows stay with it, and are as long as the bed is."""

    def write(self, told: FieldContext, answers: Answers) -> None:
        """Change the planting and its rows; one that cannot stand as it is, is only corrected."""
        fields = told.entry.fields
        known = fields.get("bed") in told.names.beds and fields.get("sowing") in told.names.sowings
        if told.entry.problems or not known:
            super().write(told, answers)
        else:
            told.context.notebook.replant(told.entry.key.id, **{told.field.name: answers[told.field.key]})


class BedOfPlanting(_OfPlanting, InBed):
    """The bed of a planting."""


class SowingOfPlanting(_OfPlanting, OfSowing):
    """The sowing of a planting."""


class Crew(FieldKind):
    """Who worked in a row."""

    def said(self, told: FieldContext) -> str:
        """Everybody by name."""
        if not isinstance(told.value, list):
            raise TypeError(told.value)
        return told.localizer.people(self._name(told, each) for each in told.value)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Everybody, those who were there chosen."""
        everybody = people(told.context)
        gone = (each for each in self.answer(told) if each not in everybody)
        options = [
            *(Option(each, self._name(told, each)) for each in gone),
            *map(Option, everybody, everybody.values()),
        ]
        label = told.localizer.t(told.field.label)
        return [Question(told.field.key, label, label, tuple(options), many=True, needed=False)]

    def answer(self, told: FieldContext) -> Any:
        """Their ids."""
        return [each for each in told.value if isinstance(each, str)] if isinstance(told.value, list) else []

    def _name(self, told: FieldContext, person: str) -> str:
        known = told.names.people.get(person)
        return known.name if known else told.localizer.t(UNKNOWN_PERSON)


class Stops(FieldKind):
    """When and why a row stood still: a stop may get another reason, or be taken away."""

    def listed(self, told: FieldContext) -> bool:
        """Where there are any."""
        return bool(stops_of(told.entry))

    def said(self, told: FieldContext) -> str:
        """Each with its reason and how long it took."""
        return ", ".join(self._stops(told))

    def _stops(self, told: FieldContext) -> Iterable[str]:
        for stop in stops_of(told.entry):
            took = f" {told.localizer.took(elapsed_s(stop.began, stop.ended))}" if stop.ended else ""
            yield f"{told.localizer.t(STOPS[stop.reason])}{took}"

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Which one, where there are several; then what it was."""
        t, stops = told.localizer.t, tuple(self._stops(told))
        which = tuple(Option(str(place), stop) for place, stop in enumerate(stops))
        reasons = (Option(reason.value, t(text)) for reason, text in STOPS.items())
        what = Question(
            told.field.key,
            t(told.field.label),
            t("Why stopped?"),
            (*reasons, Option(TAKE_AWAY, t("There was no stop"), sign="✕")),
        )
        if len(stops) == 1:
            return [what]
        return [Question(WHICH, t(told.field.label), t("Which stop?"), which), what]

    def answer(self, told: FieldContext) -> Any:
        """The reason, where there is just one stop."""
        stops = stops_of(told.entry)
        return stops[0].reason if len(stops) == 1 else None

    def changed(self, told: FieldContext, answers: Answers) -> dict[str, Any]:
        """All stops, as they are from now on."""
        stops = [dict(stop) for stop in told.value]
        place, answer = int(answers.get(WHICH, 0)), answers[told.field.key]
        kept = [] if answer == TAKE_AWAY else [stops[place] | {"reason": answer}]
        return {told.field.name: [*stops[:place], *kept, *stops[place + 1 :]]}


class PlantCount(Counted):
    """Plants that stood in a sample. A new count is none of the places on the tape, so they are dropped."""

    def changed(self, told: FieldContext, answers: Answers) -> dict[str, Any]:
        """The count, and no places."""
        return super().changed(told, answers) | {"positions_mm": []}


class _TakenAway(FieldKind):
    """What was measured and cannot be told anew by hand: it can be taken away."""

    def listed(self, told: FieldContext) -> bool:
        """Where it was measured."""
        return bool(told.value)

    def questions(self, told: FieldContext) -> Sequence[Question]:
        """Only that."""
        label, away = told.localizer.t(told.field.label), Option(TAKE_AWAY, told.localizer.t("Take it away"), sign="✕")
        return [Question(told.field.key, label, label, (away,))]

    def answer(self, told: FieldContext) -> Any:  # noqa: ARG002 - nothing is chosen yet
        """Nothing yet."""
        return None


class OnTape(_TakenAway):
    """Each plant's place on the tape."""

    def said(self, told: FieldContext) -> str:
        """How many there are."""
        return told.localizer.tn("{n} place", "{n} places", len(told.value))

    def changed(self, told: FieldContext, answers: Answers) -> dict[str, Any]:  # noqa: ARG002 - there is one answer
        """No places."""
        return {told.field.name: []}


@dataclass(frozen=True, slots=True)
class AtPlace(_TakenAway):
    """Where the phone said it was: latitude, longitude and, for the ends of a row, how far off that may be."""

    others: tuple[str, ...]

    def listed(self, told: FieldContext) -> bool:
        """Where it is known."""
        return told.value is not None

    def said(self, told: FieldContext) -> str:
        """Degrees, and how far off."""
        longitude, *accuracy = (told.entry.fields.get(name) for name in self.others)
        place = f"{told.value:.5f}, {longitude:.5f}" if longitude is not None else f"{told.value:.5f}"
        return (
            f"{place} ± {told.localizer.length(accuracy[0] * 1000)}" if accuracy and accuracy[0] is not None else place
        )

    def changed(self, told: FieldContext, answers: Answers) -> dict[str, Any]:  # noqa: ARG002 - there is one answer
        """Nowhere."""
        return dict.fromkeys((told.field.name, *self.others))
