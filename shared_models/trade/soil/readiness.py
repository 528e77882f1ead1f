"""Is this bed ready to plant now, and if not, why not?

Each factor observed gives one finding; the worst finding is the verdict. Nobody publishes limits for laying paper
chains: every limit in `SoilThresholds` is common practice, no source, and the farm's to change. The feel test
behind `Feel` is in `feel.py`, the residue count in `residue.py`, the drying of a wet bed in `drydown.py`.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Self

from shared_models.core.vocabulary import Amount, Feel, Readiness, Texture
from shared_models.errors import BadQuantity
from shared_models.trade.validation import not_negative, within

#: Every factor, in the order the work is done: no tillage in wet soil, no tillage through residue. Earlier wins a tie.
FACTORS = ("moisture", "residue", "stones", "clods", "tillage", "soil_temperature")

_FEELS, _AMOUNTS = tuple(Feel), tuple(Amount)
_MILDEST_FIRST = (Readiness.READY, Readiness.WAIT, Readiness.NOT_FIT)

#: key -> (readiness, reason, what would change it). The sentences are fixed, so a catalogue can translate each whole.
SENTENCES: Mapping[str, tuple[Readiness, str, str]] = MappingProxyType(
    {
        "moisture_fit": (Readiness.READY, "The soil is moist enough to close and dry enough to crumble.", ""),
        "moisture_too_dry": (
            Readiness.WAIT,
            "The soil is too dry: the furrow falls in and the cells dry out.",
            "Irrigate, let it drain, and feel the soil again.",
        ),
        "moisture_too_wet": (
            Readiness.WAIT,
            "The soil is too wet: it sticks to the furrow opener, smears and will not close over the chain.",
            "Let it dry and feel the soil again.",
        ),
        "moisture_unknown": (Readiness.WAIT, "Nobody has felt the soil yet.", "Do the feel test at furrow depth."),
        "residue_light": (Readiness.READY, "There is little residue on the bed.", ""),
        "residue_heavy": (
            Readiness.WAIT,
            "There is enough residue to catch on the furrow opener.",
            "Rake the residue off the rows.",
        ),
        "residue_clogs": (
            Readiness.NOT_FIT,
            "There is so much residue that the furrow will clog.",
            "Clear the bed, or till the residue in and let it rot down.",
        ),
        "stones_few": (Readiness.READY, "There are few or no stones in the planting zone.", ""),
        "stones_some": (
            Readiness.WAIT,
            "Stones will lift the furrow opener here and there.",
            "Pick the larger stones.",
        ),
        "stones_many": (
            Readiness.NOT_FIT,
            "There are too many stones to open an even furrow.",
            "Pick the stones, or plant this bed by hand.",
        ),
        "clods_few": (Readiness.READY, "The soil is fine enough to close over the chain.", ""),
        "clods_some": (
            Readiness.WAIT,
            "Clods will leave cells uncovered here and there.",
            "Rake or till once more, shallow.",
        ),
        "clods_many": (
            Readiness.NOT_FIT,
            "The bed is so cloddy that the furrow will not close over the chain.",
            "Till again when the soil crumbles.",
        ),
        "tillage_fresh": (Readiness.READY, "The bed was worked recently and is still loose.", ""),
        "tillage_old": (
            Readiness.WAIT,
            "The bed has settled since it was worked.",
            "Till once more, shallow, before planting.",
        ),
        "soil_warm": (Readiness.READY, "The soil is warm enough for roots to grow.", ""),
        "soil_cold": (
            Readiness.WAIT,
            "The soil is too cold for roots to grow.",
            "Wait for warmer days, or cover the bed.",
        ),
    }
)


@dataclass(frozen=True, slots=True)
class SoilThresholds:
    """The farm's own limits. Each is the last value that still passes; all defaults are common practice, no source."""

    driest_fit: Feel = Feel.SLIGHTLY_MOIST
    wettest_fit: Feel = Feel.MOIST
    #: coarse soils hardly stick or smear, so they can be planted one class wetter
    wettest_fit_coarse: Feel = Feel.WET
    residue_wait_pct: float = 10.0
    residue_not_fit_pct: float = 30.0
    stones_wait: Amount = Amount.FEW
    stones_not_fit: Amount = Amount.SOME
    clods_wait: Amount = Amount.FEW
    clods_not_fit: Amount = Amount.SOME
    tillage_fresh_h: float = 72.0
    min_soil_c: float = 7.0

    def __post_init__(self) -> None:
        """Refuse limits that contradict each other."""
        within("residue_not_fit_pct", self.residue_not_fit_pct, 0, 100)
        within("residue_wait_pct", self.residue_wait_pct, 0, self.residue_not_fit_pct)
        not_negative("tillage_fresh_h", self.tillage_fresh_h)
        within("min_soil_c", self.min_soil_c, -40, 70)
        for lower, upper, ranks in (
            ("driest_fit", "wettest_fit", _FEELS),
            ("driest_fit", "wettest_fit_coarse", _FEELS),
            ("stones_wait", "stones_not_fit", _AMOUNTS),
            ("clods_wait", "clods_not_fit", _AMOUNTS),
        ):
            low, high = getattr(self, lower), getattr(self, upper)
            if ranks.index(low) > ranks.index(high):
                raise BadQuantity(lower, low.value, f"no more than {upper} ({high.value})")

    def wettest(self, texture: Texture | None) -> Feel:
        """Give the wettest class that is still fit on this texture; on an unknown one, the stricter."""
        return self.wettest_fit_coarse if texture is Texture.COARSE else self.wettest_fit


@dataclass(frozen=True, slots=True)
class SoilObservation:
    """What was seen at the bed; None means not checked."""

    texture: Texture | None = None
    feel: Feel | None = None
    residue_pct: float | None = None
    stones: Amount | None = None
    clods: Amount | None = None
    hours_since_tillage: float | None = None
    soil_c: float | None = None

    def __post_init__(self) -> None:
        """Refuse what no bed can show."""
        if self.residue_pct is not None:
            within("residue_pct", self.residue_pct, 0, 100)
        if self.hours_since_tillage is not None:
            not_negative("hours_since_tillage", self.hours_since_tillage)
        if self.soil_c is not None:
            within("soil_c", self.soil_c, -40, 70)


@dataclass(frozen=True, slots=True)
class Finding:
    """The finding on one factor: `key` for a catalog, `reason` and `change` in English, value seen and its limit."""

    factor: str
    readiness: Readiness
    key: str
    reason: str
    change: str
    seen: float | str | None
    limit: float | str | None


@dataclass(frozen=True, slots=True)
class Verdict:
    """Fit or not; the deciding finding (None when ready); every finding; the factors not checked."""

    readiness: Readiness
    limiting: Finding | None
    findings: tuple[Finding, ...]
    missing: tuple[str, ...]

    @classmethod
    def of(cls, findings: tuple[Finding, ...], missing: tuple[str, ...]) -> Self:
        """The worst finding decides; of equals, the first."""
        worst = max(findings, key=lambda finding: _MILDEST_FIRST.index(finding.readiness))
        return cls(worst.readiness, None if worst.readiness is Readiness.READY else worst, findings, missing)


def verdict(observed: SoilObservation, thresholds: SoilThresholds | None = None) -> Verdict:
    """Judge whether the bed can be planted now, which factor decides, and what would change it.

    Formula: each factor looked at gives ready, wait or not fit; the worst decides. Equal findings: the factor earlier
        in moisture, residue, stones, clods, tillage, soil temperature names the reason. A limit itself still passes.
        Without a feel test the bed is never ready; any other factor may stay unseen and is listed as missing.
    Units: residue in % of the ground covered, tillage in hours ago, soil temperature in °C.
    Source: common practice, no source: every threshold is a setting of the farm. The five moisture classes are those
        of USDA-NRCS (1998), Estimating Soil Moisture by Feel and Appearance, Program Aid 1619.
    """
    limits = thresholds or SoilThresholds()
    judged = {factor: _JUDGES[factor](observed, limits) for factor in FACTORS}
    findings = tuple(finding for finding in judged.values() if finding)
    missing = tuple(factor for factor, finding in judged.items() if not finding)
    if "moisture" in missing:  # last, so that a reason that was seen wins the tie
        findings += (_finding("moisture", "moisture_unknown", None, None),)
    return Verdict.of(findings, missing)


def _finding(factor: str, key: str, seen: float | str | None, limit: float | str | None) -> Finding:
    readiness, reason, change = SENTENCES[key]
    return Finding(factor, readiness, key, reason, change, seen, limit)


def _moisture(observed: SoilObservation, limits: SoilThresholds) -> Finding | None:
    if observed.feel is None:
        return None
    wettest = limits.wettest(observed.texture)
    rank = _FEELS.index(observed.feel)
    if rank < _FEELS.index(limits.driest_fit):
        return _finding("moisture", "moisture_too_dry", observed.feel, limits.driest_fit)
    key = "moisture_too_wet" if rank > _FEELS.index(wettest) else "moisture_fit"
    return _finding("moisture", key, observed.feel, wettest)


def _residue(observed: SoilObservation, limits: SoilThresholds) -> Finding | None:
    if observed.residue_pct is None:
        return None
    if observed.residue_pct > limits.residue_not_fit_pct:
        return _finding("residue", "residue_clogs", observed.residue_pct, limits.residue_not_fit_pct)
    key = "residue_heavy" if observed.residue_pct > limits.residue_wait_pct else "residue_light"
    return _finding("residue", key, observed.residue_pct, limits.residue_wait_pct)


def _amount(factor: str, seen: Amount | None, wait: Amount, not_fit: Amount) -> Finding | None:
    if seen is None:
        return None
    if _AMOUNTS.index(seen) > _AMOUNTS.index(not_fit):
        return _finding(factor, f"{factor}_many", seen, not_fit)
    key = f"{factor}_some" if _AMOUNTS.index(seen) > _AMOUNTS.index(wait) else f"{factor}_few"
    return _finding(factor, key, seen, wait)


def _tillage(observed: SoilObservation, limits: SoilThresholds) -> Finding | None:
    if observed.hours_since_tillage is None:
        return None
    key = "tillage_old" if observed.hours_since_tillage > limits.tillage_fresh_h else "tillage_fresh"
    return _finding("tillage", key, observed.hours_since_tillage, limits.tillage_fresh_h)


def _soil_temperature(observed: SoilObservation, limits: SoilThresholds) -> Finding | None:
    if observed.soil_c is None:
        return None
    key = "soil_cold" if observed.soil_c < limits.min_soil_c else "soil_warm"
    return _finding("soil_temperature", key, observed.soil_c, limits.min_soil_c)


_JUDGES: Mapping[str, Callable[[SoilObservation, SoilThresholds], Finding | None]] = {
    "moisture": _moisture,
    "residue": _residue,
    "stones": lambda observed, limits: _amount("stones", observed.stones, limits.stones_wait, limits.stones_not_fit),
    "clods": lambda observed, limits: _amount("clods", observed.clods, limits.clods_wait, limits.clods_not_fit),
    "tillage": _tillage,
    "soil_temperature": _soil_temperature,
}
