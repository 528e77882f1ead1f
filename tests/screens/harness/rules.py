"""The rules of the glass: how large, how far apart, how readable. One hand, gloves, mud, sun."""

import itertools
from collections.abc import Iterator

from kivy.metrics import Metrics

from tests.screens.harness.measure import SLACK_PX, Box, Label, Pixels, Seen, Target, labels, targets

TARGET_MM = 10.0
IN_ROW_TARGET_MM = 15.0
GAP_MM = 2.0
TEXT_SP = 18.0
CONTRAST = 7.0


def faults(screen: list[Seen], pixels: Pixels, *, target_mm: float = TARGET_MM) -> list[str]:
    """Every rule of the glass that this screen breaks, one sentence each."""
    places, texts = targets(screen), labels(screen, pixels)
    glass = Box(0, 0, pixels.width, pixels.height)
    found = itertools.chain(
        _small(places, target_mm),
        _crowded(places),
        _off_glass([*(place.seen for place in places), *(text.seen for text in texts)], glass),
        _hard_to_read(texts),
        _overlaps(places, texts),
    )
    return list(dict.fromkeys(found))  # a button is a target and a text


def _small(places: list[Target], least_mm: float) -> Iterator[str]:
    for place in places:
        if min(place.width_mm, place.height_mm) < least_mm - SLACK_PX / float(Metrics.mm):
            size = f"{place.width_mm:.1f} × {place.height_mm:.1f} mm"
            yield f"{place.name} is {size}, less than {least_mm:g} mm"


def _crowded(places: list[Target]) -> Iterator[str]:
    for one, other in itertools.combinations(places, 2):
        if one.seen.holds(other.seen) or other.seen.holds(one.seen):
            continue
        gap = one.seen.visible.gap_to(other.seen.visible)
        if gap < GAP_MM * float(Metrics.mm) - SLACK_PX:
            yield f"{one.name} and {other.name} are {gap / float(Metrics.mm):.1f} mm apart, less than {GAP_MM:g} mm"


def _off_glass(shown: list[Seen], glass: Box) -> Iterator[str]:
    for seen in shown:
        reach = Box(glass.left, seen.whole.bottom, glass.right, seen.whole.top) if seen.scrolls else glass
        if not seen.whole.within(reach):
            yield f"{seen.name} is cut by the edge of the glass"


def _hard_to_read(texts: list[Label]) -> Iterator[str]:
    for text in texts:
        if text.size_sp < TEXT_SP - 0.01:
            yield f"“{text.text}” is {text.size_sp:.1f} sp, less than {TEXT_SP:g} sp"
        if text.contrast < CONTRAST:
            yield f"“{text.text}” has a contrast of {text.contrast:.1f}:1, less than {CONTRAST:g}:1"
        if text.cut:
            yield f"“{text.text}” {text.cut}"


def _overlaps(places: list[Target], texts: list[Label]) -> Iterator[str]:
    things = [(place.seen, place.seen.visible) for place in places]
    things += [(text.seen, text.drawn.cut_to(text.seen.visible)) for text in texts]
    for (one, box), (other, box_of_other) in itertools.combinations(things, 2):
        apart = one.widget is not other.widget and not one.holds(other) and not other.holds(one)
        if apart and box.overlaps(box_of_other):
            yield f"{one.name} and {other.name} overlap"
