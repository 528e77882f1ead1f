"""The farm's own limits in words: what each decides, what holds where the farm says nothing, and where that is from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from starlette.datastructures import FormData

from server.exports.feeds.ical import COUNT_DAYS
from server.office.forms.field_kinds import MONEY, PERCENT, SHARE, FieldKind, Figure, Warmth
from server.office.forms.names import RecordNames
from server.office.forms.parse_numbers import FieldError
from server.office.forms.record_form import WAS, FormField, overtaken
from server.office.shell.view import Choice
from shared_models.core.vocabulary import Amount, Feel
from shared_models.i18n.labels import AMOUNTS, FEELS
from shared_models.reports.common.farm import SETTINGS
from shared_models.reports.plan.settings import BED_HELD_DAYS
from shared_models.trade.soil.readiness import SoilThresholds

PRACTICE = "common practice, no source"
PREFIX = "limit."
_USUAL_SOIL = SoilThresholds()


class Ranked(FieldKind):
    """One of a few words in their order; the record holds its place among them, from 0."""

    control = "select"

    def __init__(self, texts: Mapping[Any, str]) -> None:
        self._texts = texts
        self._ranks = tuple(texts)

    def text(self, value: Any, words: RecordNames) -> str:  # noqa: ARG002 - as every way has it
        """Its place."""
        return str(int(value))

    def said(self, value: Any, words: RecordNames) -> str:
        """The word."""
        return words.localizer.t(self._texts[self._ranks[int(value)]])

    def choices(self, value: Any, words: RecordNames) -> Iterable[Choice]:  # noqa: ARG002 - as every way has it
        """Each word."""
        return (Choice(str(rank), words.localizer.t(self._texts[word])) for rank, word in enumerate(self._ranks))

    def read(self, typed: str, words: RecordNames) -> Any:
        """The place of the word that was chosen."""
        if typed not in {str(rank) for rank in range(len(self._ranks))}:
            raise FieldError(words.localizer.t("choose one of the list"))
        return int(typed)


class Minutes(Figure):
    """A time that is typed in minutes and kept in seconds."""

    def text(self, value: Any, words: RecordNames) -> str:
        """In minutes."""
        return super().text(value / 60, words)

    def read(self, typed: str, words: RecordNames) -> Any:
        """In seconds."""
        return super().read(typed, words) * 60


@dataclass(frozen=True, slots=True)
class Limit:
    """One of the farm's limits: its name in the record, what people call it, what it decides, how it is filled in."""

    name: str
    label: str
    decides: str
    way: FieldKind
    usual: float | None = None


def _soil(name: str, label: str, decides: str, way: FieldKind) -> Limit:
    usual = getattr(_USUAL_SOIL, name)
    rank = tuple(type(usual)).index(usual) if isinstance(usual, StrEnum) else usual
    return Limit(name, label, decides, way, float(rank))


_FEEL, _AMOUNT = Ranked({feel: FEELS[feel] for feel in Feel}), Ranked({amount: AMOUNTS[amount] for amount in Amount})

GROUPS: Mapping[str, tuple[Limit, ...]] = {
    "Rows and rates": (
        Limit(
            "longest_turn_s",
            "Longest turn, in minutes",
            "A longer time between two rows is a break, and counts in no rate.",
            Minutes(0, 1440),
            SETTINGS["longest_turn_s"],
        ),
        Limit(
            "times_as_slow",
            "How many times as slow as usual",
            "A row slower than this asks whether its end was tapped too late.",
            Figure(1, 100),
            SETTINGS["times_as_slow"],
        ),
    ),
    "Stand": (
        Limit(
            "spare_fraction",
            "Spare plants",
            "So many more than the misses are to be carried for filling.",
            SHARE,
            SETTINGS["spare_fraction"],
        ),
        Limit(
            "stand_count_from_days",
            "Count the stand from, in days after planting",
            "Lost plants show by then.",
            Figure(0, 365),
            COUNT_DAYS["stand_count_from_days"],
        ),
        Limit(
            "stand_count_until_days",
            "Count the stand until, in days after planting",
            "Later, others have filled their room.",
            Figure(0, 365),
            COUNT_DAYS["stand_count_until_days"],
        ),
    ),
    "Plan": (
        Limit("mix_l_per_tray", "Mix in a tray, in litres", "For the mix that a plan takes.", Figure(0, 100)),
        Limit(
            "trays_sown_per_h",
            "Trays that one person sows in an hour",
            "Filled, seeded and covered; for the hours of a plan.",
            Figure(0, 1000),
        ),
        Limit(
            "tending_h_per_tray_week",
            "Hours that a tray takes in a week",
            "Watering and moving; for the hours of a plan.",
            Figure(0, 168),
        ),
        Limit(
            "bench_room_trays",
            "Trays that the bench has room for",
            "A week that needs more is told.",
            Figure(0, 1_000_000),
        ),
        Limit(
            "hours_a_week",
            "Hours of work there are in a week",
            "Of all people together; a week that needs more is told.",
            Figure(0, 100_000),
        ),
        Limit(
            "bed_held_days",
            "A planting holds its bed for, in days",
            "What is planned for the bed within them is told as booked twice.",
            Figure(0, 366),
            BED_HELD_DAYS,
        ),
    ),
    "Soil": (
        Limit(
            "soil_check_fresh_h",
            "A soil check holds for, in hours",
            "An older one says nothing of how the bed is now.",
            Figure(0, 8760),
            SETTINGS["soil_check_fresh_h"],
        ),
        _soil("driest_fit", "Driest that is fit", "A drier bed must wait.", _FEEL),
        _soil("wettest_fit", "Wettest that is fit", "A wetter bed must wait.", _FEEL),
        _soil("wettest_fit_coarse", "Wettest that is fit on sand", "Sand hardly sticks, so it may be wetter.", _FEEL),
        _soil("residue_wait_pct", "Residue that passes", "With more of it, the bed must wait.", PERCENT),
        _soil("residue_not_fit_pct", "Residue that can be cleared", "With more of it, the bed is not fit.", PERCENT),
        _soil("stones_wait", "Stones that pass", "With more of them, the bed must wait.", _AMOUNT),
        _soil("stones_not_fit", "Stones that can be picked", "With more of them, the bed is not fit.", _AMOUNT),
        _soil("clods_wait", "Clods that pass", "With more of them, the bed must wait.", _AMOUNT),
        _soil("clods_not_fit", "Clods that can be broken", "With more of them, the bed is not fit.", _AMOUNT),
        _soil(
            "tillage_fresh_h",
            "Tillage holds for, in hours",
            "A bed tilled longer ago has settled and must wait.",
            Figure(0, 8760),
        ),
        _soil("min_soil_c", "Coldest soil that is fit", "In colder soil roots do not grow.", Warmth()),
    ),
}
"""Every limit, by what it is about. All of them are the farm's to change; the usual ones are common practice."""

PRICES: Mapping[str, tuple[Limit, ...]] = {
    "Prices": tuple(
        Limit(name, label, decides, MONEY)
        for name, label, decides in (
            ("hour", "Wage of an hour", "For whoever has no wage of their own."),
            ("seed", "A seed", "In the farm's money, as all prices."),
            ("chain_per_tray", "Chain, for a tray", ""),
            ("mix_per_tray", "Mix, for a tray", ""),
            ("plug", "A plug ready to set", "To compare with setting plug trays by hand."),
        )
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


def filled_limits(
    groups: Mapping[str, tuple[Limit, ...]],
    told: Mapping[str, float],
    words: RecordNames,
    typed: FormData | None = None,
    problems: Mapping[str, str] | None = None,
) -> dict[str, list[FormField]]:
    """The limits as they are shown, by group: the farm's own; an empty one is as usual."""
    return {
        words.localizer.t(group): [
            _filled(limit, told, words, typed, (problems or {}).get(limit.name, "")) for limit in limits
        ]
        for group, limits in groups.items()
    }


def _filled(
    limit: Limit, told: Mapping[str, float], words: RecordNames, typed: FormData | None, problem: str
) -> FormField:
    t, name = words.localizer.t, PREFIX + limit.name
    was = _text(limit, told, words)
    text = was if typed is None or not _touched(typed, name) else str(typed.get(name, ""))
    usual = ""
    if limit.usual is not None:
        usual = t("Usual: {usual} ({source}).", usual=limit.way.said(limit.usual, words), source=t(PRACTICE))
    return FormField(
        name=name,
        label=t(limit.label),
        control=limit.way.control,
        inputmode=limit.way.inputmode,
        text=text,
        was=was,
        unit=limit.way.unit(words),
        hint=f"{t(limit.decides)} {usual}".strip(),
        needed=False,
        choices=tuple(each._replace(chosen=each.value == text) for each in limit.way.choices(text, words)),
        nothing=t(nothing_said(limit.name)),
        problem=problem,
    )


def _touched(typed: FormData, name: str) -> bool:
    return str(typed.get(name, "")).strip() != str(typed.get(WAS + name, "")).strip()


def _text(limit: Limit, told: Mapping[str, float], words: RecordNames) -> str:
    try:
        return limit.way.text(told[limit.name], words) if limit.name in told else ""
    except (ValueError, TypeError, ArithmeticError):
        return str(told[limit.name])


def limits_in(value: Any) -> Mapping[str, Any]:
    """The limits or prices of a farm as its record holds them; none where that is no table."""
    return value if isinstance(value, dict) else {}


def limit_label(name: str, words: RecordNames) -> str:
    """What a limit is called; one this program does not know, by its own word."""
    return words.localizer.t(LIMITS[name].label) if name in LIMITS else name.replace("_", " ")


def nothing_said(name: str) -> str:
    """How it is said that the farm has not set a limit, or not told a price."""
    return "as usual" if name in LIMITS and LIMITS[name].usual is not None else "not told"


def limit_said(name: str, value: float, words: RecordNames) -> str:
    """The value of a limit in words."""
    try:
        return LIMITS[name].way.said(value, words)
    except (ValueError, TypeError, LookupError, ArithmeticError):
        return str(value)


def changed_limits(
    groups: Mapping[str, tuple[Limit, ...]], told: Mapping[str, float], typed: FormData, words: RecordNames
) -> tuple[dict[str, float] | None, dict[str, str]]:
    """The farm's limits with what was typed that differs from what the page had shown (None: nothing), or why not."""
    now, problems = dict(told), dict[str, str]()
    for limit in (limit for group in groups.values() for limit in group):
        name = PREFIX + limit.name
        text, stands = str(typed.get(name, "")).strip(), _text(limit, told, words)
        if not _touched(typed, name) or text == stands:
            continue
        if str(typed.get(WAS + name, "")).strip() != stands:
            said = (
                limit_said(limit.name, told[limit.name], words)
                if stands
                else words.localizer.t(nothing_said(limit.name))
            )
            problems[limit.name] = overtaken(said, words)
            continue
        if not text:
            now.pop(limit.name, None)
            continue
        try:
            now[limit.name] = limit.way.read(text, words)
        except FieldError as unfit:
            problems[limit.name] = str(unfit)
    if not problems:
        problems = dict(_out_of_order(now, words))
    return (None if problems or now == dict(told) else now), problems


def _out_of_order(now: Mapping[str, float], words: RecordNames) -> Iterable[tuple[str, str]]:
    for low, high in _IN_ORDER:
        if now.get(low, LIMITS[low].usual or 0) > now.get(high, LIMITS[high].usual or 0):
            other = words.localizer.t(LIMITS[high].label)
            yield low, words.localizer.t("it must not be more than: {other}", other=other)
