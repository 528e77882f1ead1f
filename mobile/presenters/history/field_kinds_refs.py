"""Field kinds for references and lists: beds, sowings, plantings, a crew, stops, places."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from typing_extensions import override

from mobile.presenters.base.form import Question
from mobile.presenters.base.lists import beds, block_of, people, plantings, sowings
from mobile.presenters.base.options import Option
from mobile.presenters.history.field_kinds import Answers, FieldContext, FieldKind, Numeric, question
from shared_models.core.moments import elapsed_s
from shared_models.fields.references import sowing_label
from shared_models.i18n.labels import STOPS
from shared_models.reports.audit.entries import Names
from shared_models.reports.audit.retiming import stops_of
from shared_models.reports.common.references import UNKNOWN_BED, UNKNOWN_CROP, UNKNOWN_PERSON

REMOVE, WHICH = "remove", "which"
#: of the plantings of many seasons only the last ones are offered
MOST_PLANTINGS = 40


def planting_name(context: FieldContext, names: Names, planting: str) -> str:
    """A planting as people call it: bed and crop."""
    t, found = context.localizer.t, names.plantings.get(planting)
    bed = names.beds.get(found.bed) if found else None
    sowing = names.sowings.get(found.sowing) if found else None
    return f"{bed.name if bed else t(UNKNOWN_BED)} · {sowing.crop if sowing else t(UNKNOWN_CROP)}"


class InBed(FieldKind):
    """The bed of a soil check."""

    @override
    def format(self, context: FieldContext) -> str:
        bed = context.names.beds.get(context.value)
        return bed.name if bed else context.localizer.t(UNKNOWN_BED)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        return [
            question(context, *(Option(each.bed.id, each.bed.name, block_of(each.bed)) for each in beds(context.app)))
        ]


class OfSowing(FieldKind):
    """The sowing of a tray check."""

    @override
    def format(self, context: FieldContext) -> str:
        sowing = context.names.sowings.get(context.value)
        return sowing_label(sowing) if sowing else context.localizer.t(UNKNOWN_CROP)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        return [question(context, *(Option(each.id, sowing_label(each)) for each in sowings(context.app)))]


class InPlanting(FieldKind):
    """The planting of a stand count."""

    @override
    def format(self, context: FieldContext) -> str:
        return planting_name(context, context.names, context.value)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        return [question(context, *self._options(context))]

    def _options(self, context: FieldContext) -> Iterable[Option]:
        for each in plantings(context.app)[:MOST_PLANTINGS]:
            day = each.planting.planned_on
            planned = context.localizer.day(day, context.today) if day else ""
            yield Option(each.planting.id, f"{each.place.bed} · {each.place.crop}", planned)


class PlantingOfRow(InPlanting):
    """The planting of a row: the row is moved, as a whole bed of them would be."""

    @override
    def write(self, context: FieldContext, answers: Answers) -> None:
        to, was, bad = answers[context.field.key], context.value, context.entry.problems
        known = was in context.names.plantings and context.names.plantings[was].bed in context.names.beds
        if bad or not known:
            super().write(context, answers)
        else:
            context.app.notebook.move_rows(was, to, [context.entry.key.id])


class _OfPlanting(FieldKind):
    """What a planting is made of: its rows stay with it, and are as long as the bed is."""

    @override
    def write(self, context: FieldContext, answers: Answers) -> None:
        fields = context.entry.fields
        known = fields.get("bed") in context.names.beds and fields.get("sowing") in context.names.sowings
        if context.entry.problems or not known:
            super().write(context, answers)
        else:
            context.app.notebook.replant(context.entry.key.id, **{context.field.name: answers[context.field.key]})


class BedOfPlanting(_OfPlanting, InBed):
    """The bed of a planting."""


class SowingOfPlanting(_OfPlanting, OfSowing):
    """The sowing of a planting."""


class Crew(FieldKind):
    """Who worked in a row."""

    @override
    def format(self, context: FieldContext) -> str:
        if not isinstance(context.value, list):
            raise TypeError(context.value)
        return context.localizer.people(self._name(context, each) for each in context.value)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        everybody = people(context.app)
        gone = (each for each in self.answer(context) if each not in everybody)
        options = [
            *(Option(each, self._name(context, each)) for each in gone),
            *map(Option, everybody, everybody.values()),
        ]
        label = context.localizer.t(context.field.label)
        return [Question(context.field.key, label, label, tuple(options), many=True, needed=False)]

    @override
    def answer(self, context: FieldContext) -> Any:
        return [each for each in context.value if isinstance(each, str)] if isinstance(context.value, list) else []

    def _name(self, context: FieldContext, person: str) -> str:
        known = context.names.people.get(person)
        return known.name if known else context.localizer.t(UNKNOWN_PERSON)


class Stops(FieldKind):
    """When and why a row stood still: a stop may get another reason, or be taken away."""

    @override
    def listed(self, context: FieldContext) -> bool:
        return bool(stops_of(context.entry))

    @override
    def format(self, context: FieldContext) -> str:
        return ", ".join(self._stops(context))

    def _stops(self, context: FieldContext) -> Iterable[str]:
        for stop in stops_of(context.entry):
            took = f" {context.localizer.duration(elapsed_s(stop.began, stop.ended))}" if stop.ended else ""
            yield f"{context.localizer.t(STOPS[stop.reason])}{took}"

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        t, stops = context.localizer.t, tuple(self._stops(context))
        which = tuple(Option(str(place), stop) for place, stop in enumerate(stops))
        reasons = (Option(reason.value, t(text)) for reason, text in STOPS.items())
        what = Question(
            context.field.key,
            t(context.field.label),
            t("Why stopped?"),
            (*reasons, Option(REMOVE, t("There was no stop"), sign="✕")),
        )
        if len(stops) == 1:
            return [what]
        return [Question(WHICH, t(context.field.label), t("Which stop?"), which), what]

    @override
    def answer(self, context: FieldContext) -> Any:
        stops = stops_of(context.entry)
        return stops[0].reason if len(stops) == 1 else None

    @override
    def changed(self, context: FieldContext, answers: Answers) -> dict[str, Any]:
        stops = [dict(stop) for stop in context.value]
        place, answer = int(answers.get(WHICH, 0)), answers[context.field.key]
        kept = [] if answer == REMOVE else [stops[place] | {"reason": answer}]
        return {context.field.name: [*stops[:place], *kept, *stops[place + 1 :]]}


class PlantCount(Numeric):
    """Plants that stood in a sample. A new count is none of the places on the tape, so they are dropped."""

    @override
    def changed(self, context: FieldContext, answers: Answers) -> dict[str, Any]:
        return super().changed(context, answers) | {"positions_mm": []}


class _Removable(FieldKind):
    """A measurement that cannot be entered by hand: it can be removed."""

    @override
    def listed(self, context: FieldContext) -> bool:
        return bool(context.value)

    @override
    def questions(self, context: FieldContext) -> Sequence[Question]:
        label, away = context.localizer.t(context.field.label), Option(REMOVE, context.localizer.t("Remove"), sign="✕")
        return [Question(context.field.key, label, label, (away,))]

    @override
    def answer(self, context: FieldContext) -> Any:
        return None


class OnTape(_Removable):
    """Each plant's place on the tape."""

    @override
    def format(self, context: FieldContext) -> str:
        return context.localizer.tn("{n} place", "{n} places", len(context.value))

    @override
    def changed(self, context: FieldContext, answers: Answers) -> dict[str, Any]:
        return {context.field.name: []}


@dataclass(frozen=True, slots=True)
class AtPlace(_Removable):
    """Where the phone said it was: latitude, longitude and, for the ends of a row, how far off that may be."""

    others: tuple[str, ...]

    @override
    def listed(self, context: FieldContext) -> bool:
        return context.value is not None

    @override
    def format(self, context: FieldContext) -> str:
        longitude, accuracy_m = (*(context.entry.fields.get(name) for name in self.others), None)[:2]
        place = f"{context.value:.5f}, {longitude:.5f}" if longitude is not None else f"{context.value:.5f}"
        return place if accuracy_m is None else f"{place} ± {context.localizer.length(accuracy_m * 1000)}"

    @override
    def changed(self, context: FieldContext, answers: Answers) -> dict[str, Any]:
        return dict.fromkeys((context.field.name, *self.others))
