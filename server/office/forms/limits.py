"""The farm's own limits: what each decides, what holds where the farm has set none, and where that is from."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from starlette.datastructures import FormData
from typing_extensions import override

from server.office.forms.field_kinds import FieldKind, Number, figure, share
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.office.forms.record_form import WAS, FormField, overtaken
from server.office.shell.view import Choice
from shared_models.fields.catalog import fields_of
from shared_models.fields.quantities import plain
from shared_models.i18n.labels import AMOUNTS, FEELS
from shared_models.reports.common.farm import SETTINGS
from shared_models.reports.plan.settings import BED_HELD_DAYS
from shared_models.trade.soil.readiness import SoilThresholds

PRACTICE = "common practice, no source"
PREFIX = "limit."
_USUAL_SOIL = SoilThresholds()


@dataclass(frozen=True, slots=True)
class Ranked(FieldKind):
    """One of a few words in their order; the record holds its place among them, from 0."""

    labels: tuple[str, ...]
    control = "select"

    @override
    def to_text(self, value: Any, names: RecordNames) -> str:
        return str(int(value))

    @override
    def format(self, value: Any, names: RecordNames) -> str:
        return names.localizer.t(self.labels[int(value)])

    @override
    def choices(self, value: Any, names: RecordNames) -> Iterable[Choice]:
        return (Choice(str(rank), names.localizer.t(label)) for rank, label in enumerate(self.labels))

    @override
    def parse(self, typed: str, names: RecordNames) -> Any:
        if typed not in {str(rank) for rank in range(len(self.labels))}:
            raise FieldError(names.localizer.t("choose one from the list"))
        return int(typed)


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit: its name in the record, its label, what it decides, how it is filled in, and the usual value."""

    name: str
    label: str
    decides: str
    kind: FieldKind
    usual: float | None = None


def _setting(name: str, label: str, decides: str, kind: FieldKind) -> Limit:
    return Limit(name, label, decides, kind, SETTINGS[name])


def _soil(name: str, label: str, decides: str, kind: FieldKind) -> Limit:
    usual = getattr(_USUAL_SOIL, name)
    rank = tuple(type(usual)).index(usual) if isinstance(usual, StrEnum) else usual
    return Limit(name, label, decides, kind, float(rank))


def _like(field: str) -> Number:
    found = fields_of("soil_check")[field]
    return Number(found.quantity, found.low, found.high)


_FEEL, _AMOUNT, _PERCENT = Ranked((*FEELS.values(),)), Ranked((*AMOUNTS.values(),)), _like("residue_pct")
_PRICE = Number(fields_of("person")["wage_per_hour"].quantity, 0, fields_of("person")["wage_per_hour"].high)

GROUPS: Mapping[str, tuple[Limit, ...]] = {
    "Rows and rates": (
        _setting(
            "longest_turn_s",
            "Longest turn, in minutes",
            "A longer time between two rows is a break, and counts in no rate.",
            Number(plain(size=60), 0, 86_400),
        ),
        _setting(
            "times_as_slow",
            "How many times as slow as usual",
            "A row slower than this asks whether its end was tapped too late.",
            figure(1, 100),
        ),
    ),
    "Stand": (
        _setting("spare_fraction", "Spare plants", "Extra plants to carry for filling misses.", share()),
        _setting(
            "stand_count_from_days",
            "Count the stand from, in days after planting",
            "Lost plants show by then.",
            figure(0, 365),
        ),
        _setting(
            "stand_count_until_days",
            "Count the stand until, in days after planting",
            "After that, their neighbors fill the gaps.",
            figure(0, 365),
        ),
    ),
    "Plan": (
        Limit("mix_l_per_tray", "Mix in a tray, in liters", "For the mix that a plan takes.", figure(0, 100)),
        Limit(
            "trays_sown_per_h",
            "Trays that one person sows in an hour",
            "Filled, seeded and covered; for the hours of a plan.",
            figure(0, 1000),
        ),
        Limit(
            "tending_h_per_tray_week",
            "Hours that a tray takes in a week",
            "Watering and moving; for the hours of a plan.",
            figure(0, 168),
        ),
        Limit(
            "bench_room_trays",
            "Trays that fit on the bench",
            "The plan warns of a week that needs more.",
            figure(0, 1_000_000),
        ),
        Limit(
            "hours_a_week",
            "Hours of work in a week",
            "Of all people together. The plan warns of a week that needs more.",
            figure(0, 100_000),
        ),
        Limit(
            "bed_held_days",
            "Days that a planting holds its bed",
            "The plan warns of another planting in the bed within them.",
            figure(0, 366),
            BED_HELD_DAYS,
        ),
    ),
    "Soil": (
        _setting(
            "soil_check_fresh_h",
            "A soil check is good for, in hours",
            "After that the bed must be checked again.",
            figure(0, 8760),
        ),
        _soil("driest_fit", "Driest OK to plant", "A drier bed must wait.", _FEEL),
        _soil("wettest_fit", "Wettest OK to plant", "A wetter bed must wait.", _FEEL),
        _soil("wettest_fit_coarse", "Wettest OK to plant on sand", "Sand hardly sticks, so it may be wetter.", _FEEL),
        _soil("residue_wait_pct", "Most residue OK to plant", "With more than this, the bed must wait.", _PERCENT),
        _soil(
            "residue_not_fit_pct", "Residue that can be cleared", "With more than this, the bed is not fit.", _PERCENT
        ),
        _soil("stones_wait", "Most stones OK to plant", "With more than this, the bed must wait.", _AMOUNT),
        _soil("stones_not_fit", "Stones that can be picked", "With more than this, the bed is not fit.", _AMOUNT),
        _soil("clods_wait", "Most clods OK to plant", "With more than this, the bed must wait.", _AMOUNT),
        _soil("clods_not_fit", "Clods that can be broken", "With more than this, the bed is not fit.", _AMOUNT),
        _soil(
            "tillage_fresh_h",
            "Tillage is good for, in hours",
            "A bed tilled longer ago has settled and must wait.",
            figure(0, 8760),
        ),
        _soil("min_soil_c", "Coldest soil OK to plant", "In colder soil roots do not grow.", _like("soil_c")),
    ),
}
"""Every limit, by what it is about. All of them are the farm's to change; the usual ones are common practice."""

PRICES: Mapping[str, tuple[Limit, ...]] = {
    "Prices": (
        Limit("hour", "Hourly wage", "For anyone without a wage of their own.", _PRICE),
        Limit("seed", "A seed", "In the farm's currency, like all prices.", _PRICE),
        Limit("chain_per_tray", "Chain, for a tray", "", _PRICE),
        Limit("mix_per_tray", "Mix, for a tray", "", _PRICE),
        Limit("plug", "A plug ready to set", "To compare with setting plug trays by hand.", _PRICE),
    )
}
"""The farm's prices: for its owners, and in the log that no phone gets."""

LIMITS = {limit.name: limit for groups in (GROUPS, PRICES) for group in groups.values() for limit in group}
#: limits of which the first must not lie above the second; those that do would all be passed over
_IN_ORDER = (
    ("stand_count_from_days", "stand_count_until_days"),
    ("driest_fit", "wettest_fit"),
    ("driest_fit", "wettest_fit_coarse"),
    ("residue_wait_pct", "residue_not_fit_pct"),
    ("stones_wait", "stones_not_fit"),
    ("clods_wait", "clods_not_fit"),
)


def limit_fields(
    groups: Mapping[str, tuple[Limit, ...]],
    values: Mapping[str, float],
    names: RecordNames,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
) -> dict[str, list[FormField]]:
    """The form fields of the limits, by group; a limit that the farm has not set is empty."""
    return {
        names.localizer.t(group): [
            _form_field(limit, values, names, typed, (problems or {}).get(limit.name, "")) for limit in limits
        ]
        for group, limits in groups.items()
    }


def _form_field(
    limit: Limit, values: Mapping[str, float], names: RecordNames, typed: FormData | None, problem: str
) -> FormField:
    t, name = names.localizer.t, PREFIX + limit.name
    was = _text(limit, values, names)
    text = was if typed is None or not _touched(typed, name) else str(typed.get(name, ""))
    usual = ""
    if limit.usual is not None:
        usual = t("Usual: {usual} ({source}).", usual=limit.kind.format(limit.usual, names), source=t(PRACTICE))
    return FormField(
        name=name,
        label=t(limit.label),
        control=limit.kind.control,
        inputmode=limit.kind.inputmode,
        text=text,
        was=was,
        unit=limit.kind.unit(names),
        hint=f"{t(limit.decides)} {usual}".strip(),
        needed=False,
        choices=tuple(each._replace(chosen=each.value == text) for each in limit.kind.choices(text, names)),
        nothing=t(label_when_unset(limit.name)),
        problem=problem,
    )


def _touched(typed: FormData, name: str) -> bool:
    return str(typed.get(name, "")).strip() != str(typed.get(WAS + name, "")).strip()


def _text(limit: Limit, values: Mapping[str, float], names: RecordNames) -> str:
    try:
        return limit.kind.to_text(values[limit.name], names) if limit.name in values else ""
    except (ValueError, TypeError, ArithmeticError):
        return str(values[limit.name])


def limits_in(value: Any) -> Mapping[str, Any]:
    """The limits or prices of a farm as its record holds them; none where that is no table."""
    return value if isinstance(value, dict) else {}


def limit_label(name: str, names: RecordNames) -> str:
    """What a limit is called; one this program does not know, by its own word."""
    return names.localizer.t(LIMITS[name].label) if name in LIMITS else name.replace("_", " ")


def label_when_unset(name: str) -> str:
    """What stands in place of a limit or a price that the farm has not set."""
    return "as usual" if name in LIMITS and LIMITS[name].usual is not None else "not entered"


def format_limit(name: str, value: float, names: RecordNames) -> str:
    """The value of a limit as people read it."""
    try:
        return LIMITS[name].kind.format(value, names)
    except (ValueError, TypeError, LookupError, ArithmeticError):
        return str(value)


def changed_limits(
    groups: Mapping[str, tuple[Limit, ...]], values: Mapping[str, float], typed: FormData, names: RecordNames
) -> tuple[dict[str, float] | None, dict[str, str]]:
    """The farm's limits with what was typed that differs from what the page had shown (None: nothing), or why not."""
    now, problems = dict(values), dict[str, str]()
    for limit in (limit for group in groups.values() for limit in group):
        name = PREFIX + limit.name
        text, stands = str(typed.get(name, "")).strip(), _text(limit, values, names)
        if not _touched(typed, name) or text == stands:
            continue
        if str(typed.get(WAS + name, "")).strip() != stands:
            unset = names.localizer.t(label_when_unset(limit.name))
            problems[limit.name] = overtaken(
                format_limit(limit.name, values[limit.name], names) if stands else unset, names
            )
            continue
        if not text:
            now.pop(limit.name, None)
            continue
        try:
            now[limit.name] = limit.kind.parse(text, names)
        except FieldError as unfit:
            problems[limit.name] = str(unfit)
    if not problems:
        problems = dict(_out_of_order(now, names))
    return (None if problems or now == dict(values) else now), problems


def _out_of_order(now: Mapping[str, float], names: RecordNames) -> Iterable[tuple[str, str]]:
    for low, high in _IN_ORDER:
        if now.get(low, LIMITS[low].usual or 0) > now.get(high, LIMITS[high].usual or 0):
            other = names.localizer.t(LIMITS[high].label)
            yield low, names.localizer.t("it must not be more than: {other}", other=other)
