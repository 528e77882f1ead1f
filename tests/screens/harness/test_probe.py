"""The probe itself: it catches what a person would stumble over, and leaves nothing behind."""
# mypy: disallow-subclassing-any=False

import gc
import weakref
from pathlib import Path
from typing import Any

import pytest
from kivy.app import App
from kivy.clock import Clock
from kivy.factory import Factory
from kivy.lang import Builder
from kivy.metrics import Metrics

from tests.screens.conftest import RunApp
from tests.screens.harness import measure, rules
from tests.screens.harness.window import SMALL, SMALL_LARGE_TEXT, TABLET, Glass

TINY = """
<Plain@Button>:
    size_hint: None, None
    size: "50mm", "20mm"
    font_size: "20sp"
    color: 0, 0, 0, 1
    background_normal: ""
    background_down: ""
    background_color: 1, 1, 1, 1

<Tiny@FloatLayout>:
    canvas.before:
        Color:
            rgba: 1, 1, 1, 1
        Rectangle:
            pos: self.pos
            size: self.size
    Plain:
        id: good
        text: "good"
        pos_hint: {"x": 0.05, "top": 0.95}
"""


class TinyApp(App):
    """One good button at the top, and whatever the test adds."""

    presses = 0

    def __init__(self, more: str = "") -> None:
        super().__init__()
        self.more = more

    def build(self) -> Any:
        if "Tiny" not in Factory.classes:
            Builder.load_string(TINY)
        root = Factory.Tiny()
        root.ids.good.bind(on_press=self.count)
        if self.more:
            root.add_widget(Builder.load_string(self.more))
        return root

    def count(self, *_: object) -> None:
        self.presses += 1


def tiny(more: str = "") -> Any:
    return lambda: TinyApp(more)


# tapping


def test_a_tap_presses_a_button(run_app: RunApp) -> None:
    probe = run_app(tiny())

    probe.tap("good")
    probe.tap(probe.find("good"))

    assert probe.app.presses == 2


def test_a_covered_button_cannot_be_tapped(run_app: RunApp) -> None:
    """The message names what is in front."""
    probe = run_app(tiny('Plain:\n    text: "in front"\n    pos_hint: {"x": 0, "top": 1}'))

    with pytest.raises(AssertionError, match=r"good is covered.*went to Plain “in front”"):
        probe.tap("good")

    assert probe.app.presses == 0


def test_something_invisible_in_front_is_noticed_too(run_app: RunApp) -> None:
    probe = run_app(tiny())
    curtain = Factory.Widget()
    curtain.bind(on_touch_down=lambda *_: True)
    probe.app.root.add_widget(curtain)

    with pytest.raises(AssertionError, match=r"good is covered.*went to Widget"):
        probe.tap("good")


def test_an_off_screen_button_cannot_be_tapped(run_app: RunApp) -> None:
    probe = run_app(tiny('Plain:\n    text: "away"\n    pos: "-80mm", 0'))

    with pytest.raises(AssertionError, match=r"away is not on the screen \(its middle is at \(-"):
        probe.tap("away")


def test_a_transparent_or_disabled_button_cannot_be_tapped(run_app: RunApp) -> None:
    probe = run_app(tiny())

    probe.find("good").disabled = True
    with pytest.raises(AssertionError, match="good is disabled"):
        probe.tap("good")
    probe.find("good").opacity = 0
    with pytest.raises(AssertionError, match="it is transparent"):
        probe.tap("good")


def test_what_is_not_there_is_told_with_what_is(run_app: RunApp) -> None:
    probe = run_app(tiny())

    with pytest.raises(AssertionError, match=r"There is no 'row_end'. On the screen: \['good'\]"):
        probe.tap("row_end")


def test_a_button_behind_a_dialog_cannot_be_tapped(run_app: RunApp) -> None:
    probe = run_app(tiny())
    dialog = Factory.ModalView(size_hint=(0.5, 0.2))
    dialog.add_widget(Factory.Plain(text="yes"))
    dialog.open()

    with pytest.raises(AssertionError, match="something modal is open"):
        probe.tap("good")
    probe.tap("yes")


def test_a_list_is_swiped_until_a_row_is_in_view(run_app: RunApp) -> None:
    rows = "\n".join(f'        Plain:\n            text: "row {number}"' for number in range(20))
    listed = f"""
ScrollView:
    size_hint_y: 0.5
    GridLayout:
        cols: 1
        size_hint_y: None
        height: self.minimum_height
{rows}
"""
    probe = run_app(tiny(listed))
    row = probe.find("row 17")
    pressed: list[Any] = []
    row.bind(on_release=pressed.append)

    with pytest.raises(AssertionError, match="is not on the screen"):
        probe.tap(row)
    probe.scroll_to(row)
    probe.tap(row)

    assert pressed == [row]
    assert "row 0" not in probe.texts()


def test_a_long_press_stays_down_for_its_time(run_app: RunApp) -> None:
    probe = run_app(tiny())
    times = []
    for event in ("on_press", "on_release"):
        probe.find("good").bind(**{event: lambda *_: times.append(Clock.get_boottime())})

    probe.long_press("good", seconds=0.3)

    assert times[1] - times[0] >= 0.29


# waiting


def test_waiting_runs_the_app(run_app: RunApp) -> None:
    probe = run_app(tiny())
    Clock.schedule_once(probe.app.count, 0.05)

    probe.wait_until(lambda: probe.app.presses == 1, "the clock event ran")


def test_waiting_in_vain_says_what_was_awaited_and_what_is_shown(run_app: RunApp) -> None:
    probe = run_app(tiny())

    with pytest.raises(AssertionError, match=r"it is not so that the second row is counted. On the screen: \['good'\]"):
        probe.wait_until(lambda: False, "the second row is counted", timeout=0.05)


def test_a_still_screen_draws_no_frames_and_a_moving_one_does(run_app: RunApp) -> None:
    probe = run_app(tiny())

    assert probe.run_for(0.1) == 0
    moving = Clock.schedule_interval(lambda _: probe.window.canvas.ask_update(), 0)
    assert probe.run_for(0.1) > 0
    moving.cancel()


# measuring


def only_fault(run_app: RunApp, more: str, **limits: float) -> str:
    (fault,) = run_app(tiny(more)).faults(**limits)
    return fault


def test_a_good_screen_has_no_faults(run_app: RunApp) -> None:
    assert run_app(tiny()).faults() == []


def test_a_small_target_is_a_fault(run_app: RunApp) -> None:
    fault = only_fault(run_app, 'Plain:\n    text: "x"\n    size: "12mm", "9mm"')

    assert fault == "Plain “x” is 12.0 × 9.0 mm, less than 10 mm"


def test_in_the_row_targets_are_larger(run_app: RunApp) -> None:
    fault = only_fault(run_app, 'Plain:\n    text: "x"\n    size: "14mm", "16mm"', target_mm=rules.IN_ROW_TARGET_MM)

    assert fault == "Plain “x” is 14.0 × 16.0 mm, less than 15 mm"


def test_targets_too_close_are_a_fault(run_app: RunApp) -> None:
    probe = run_app(tiny('Plain:\n    text: "near"\n    pos: 18, 800 * 0.95 - 40 * self.height / 20 - 6'))

    assert probe.faults() == ["good and Plain “near” are 1.0 mm apart, less than 2 mm"]


def test_small_text_is_a_fault_at_any_text_size(run_app: RunApp) -> None:
    probe = run_app(tiny('Plain:\n    text: "small"\n    font_size: "17sp"'), SMALL_LARGE_TEXT)

    assert probe.faults() == ["“small” is 17.0 sp, less than 18 sp"]


def test_low_contrast_is_a_fault(run_app: RunApp) -> None:
    """#767676 on white is the well-known grey that just has 4.5:1."""
    fault = only_fault(run_app, 'Plain:\n    text: "grey"\n    color: "#767676"')

    assert fault == "“grey” has a contrast of 4.5:1, less than 7:1"


def test_the_ground_is_the_one_that_is_seen(run_app: RunApp) -> None:
    """Black on a button that is dark: no widget has to declare its ground."""
    probe = run_app(tiny('Plain:\n    text: "dark"\n    background_color: 0.2, 0.2, 0.2, 1'))

    (label,) = [label for label in probe.labels() if label.text == "dark"]

    assert label.ground == pytest.approx((0.2, 0.2, 0.2), abs=0.01)
    assert label.contrast < 2


@pytest.mark.parametrize(
    ("how", "reason"),
    [
        ('size: "15mm", "15mm"\n    text: "a long word or two"', "is larger than its place"),
        (
            'size: "15mm", "15mm"\n    text: "a long word or two"\n    shorten: True\n    text_size: self.size',
            "is shortened",
        ),
        ('text: "transplanting"\n    width: "15mm"\n    text_size: self.width, None', "breaks inside a word"),
    ],
)
def test_cut_text_is_a_fault(run_app: RunApp, how: str, reason: str) -> None:
    faults = run_app(tiny(f"Plain:\n    {how}")).faults()

    assert [fault for fault in faults if reason in fault]


def test_what_sticks_out_of_the_glass_is_a_fault(run_app: RunApp) -> None:
    fault = only_fault(run_app, 'Plain:\n    text: "x"\n    pos: "-8mm", 0')

    assert fault == "Plain “x” is cut by the edge of the glass"


def test_a_text_wholly_beyond_the_glass_is_a_fault(run_app: RunApp) -> None:
    """Too much in a screen that does not scroll pushes its first lines off the top, where nobody misses them."""
    fault = only_fault(run_app, 'Plain:\n    text: "x"\n    pos: 0, 2000')

    assert fault == "Plain “x” lies beyond the edge of the glass"


def test_overlap_is_a_fault(run_app: RunApp) -> None:
    words = """
Label:
    text: "over it"
    color: 0, 0, 0, 1
    font_size: "20sp"
    size_hint: None, None
    size: "20mm", "8mm"
    pos: 30, 700
"""

    assert only_fault(run_app, words) == "good and Label “over it” overlap"


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [((0, 0, 0), (1, 1, 1), 21.0), ((1, 1, 1), (1, 1, 1), 1.0), ((1, 0, 0), (1, 1, 1), 3.998)],
)
def test_contrast_is_that_of_wcag(one: measure.Colour, other: measure.Colour, expected: float) -> None:
    assert measure.contrast(one, other) == pytest.approx(expected, abs=0.001)


# the glass


@pytest.mark.parametrize("glass", [SMALL, TABLET, SMALL_LARGE_TEXT, Glass(360, 800, density=2)], ids=str)
def test_the_glass_has_the_size_it_says(run_app: RunApp, glass: Glass) -> None:
    probe = run_app(tiny(), glass)

    (good,) = probe.targets()
    (label,) = probe.labels()

    assert [side / Metrics.dp for side in probe.window.size] == [glass.width_dp, glass.height_dp]
    assert (good.width_mm, good.height_mm) == pytest.approx((50, 20))
    assert label.size_sp == pytest.approx(20)
    assert probe.find("good").font_size == pytest.approx(20 * glass.font_scale * glass.density)


def test_a_picture_shows_the_screen(run_app: RunApp, tmp_path: Path) -> None:
    probe = run_app(tiny())

    picture = probe.picture(tmp_path / "shots" / "tiny.png")

    assert picture.read_bytes().startswith(b"\x89PNG")
    assert picture.stat().st_size > 500


# leaving nothing behind


def test_nothing_of_an_app_is_left_when_the_next_one_starts(run_app: RunApp) -> None:
    first = run_app(tiny())
    ticks: list[float] = []
    keys: list[object] = []
    Clock.schedule_interval(ticks.append, 0)
    first.window.bind(on_keyboard=lambda *_: keys.append("bound"))
    first.window.fbind("on_keyboard", lambda *_: keys.append("fast bound"))
    first.frame()
    root = weakref.ref(first.app.root)

    second = run_app(tiny())
    del first
    ticked = len(ticks)
    second.press_key(13)
    second.run_for(0.05)
    gc.collect()

    assert second.window.children == [second.app.root]
    assert len(ticks) == ticked > 0
    assert keys == []
    assert root() is None


def test_a_key_reaches_the_app(run_app: RunApp) -> None:
    probe = run_app(tiny())
    keys: list[int] = []
    probe.window.bind(on_key_down=lambda _window, code, *_: keys.append(code))

    probe.press_key(13)

    assert keys == [13]


def test_an_error_of_the_app_fails_the_test(run_app: RunApp) -> None:
    probe = run_app(tiny())
    probe.find("good").bind(on_press=lambda *_: 1 / 0)

    with pytest.raises(ZeroDivisionError):
        probe.tap("good")
