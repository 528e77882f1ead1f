"""Our own widgets keep the rules of the glass at every size, and can be worked with gloves."""
# mypy: disallow-subclassing-any=False

import subprocess
import sys
from collections.abc import Iterator
from typing import Any

import pytest
from kivy.app import App
from kivy.factory import Factory
from kivy.lang import Builder
from kivy.utils import get_color_from_hex

from mobile.screens.base import theme
from tests.screens.conftest import RunApp
from tests.screens.harness import measure, rules
from tests.screens.harness.window import GLASSES, SMALL, SMALL_LARGE_TEXT, Glass

SAMPLE = """
<Sample@Page>:
    Strip:
        sign: "▲"
        text: "3 entries are on this phone alone"
        tone: "caution"
    Scroll:
        Column:
            Heading:
                text: "Bed 7, onions"
            Body:
                text: "Wait until the bed is fit: the soil still makes a ribbon between the fingers."
            BoxLayout:
                spacing: "2mm"
                size_hint_y: None
                height: self.minimum_height
                Tile:
                    id: miss
                    text: "miss"
                    sign: "+"
                    count: "12"
                Tile:
                    text: "stop"
                    sign: "■"
                    count: "1"
                    tone: "caution"
            Choice:
                id: first
                text: "Onions, Valencia"
                detail: "sown 3 March, 14 trays"
                chosen: True
            Choice:
                id: second
                text: "Leeks"
            NumberEntry:
                id: depth
                text: "Depth of the furrow"
                unit: "mm"
                start: 25
                step: 5
                highest: 200
            TextLine:
                id: note
            BigButton:
                text: "Save and go on to the next bed"
                size_hint_y: None
    BigButton:
        id: row_end
        text: "Row end"
        sign: "▶"
        tone: "strong"
        font_size: "36sp"
"""


class SampleApp(App):
    def build(self) -> Any:
        theme.load_kv("base/theme")
        if "Sample" not in Factory.classes:
            Builder.load_string(SAMPLE)
        return Factory.Sample()


@pytest.mark.parametrize("glass", GLASSES, ids=str)
def test_our_widgets_keep_the_rules_at_every_size(run_app: RunApp, glass: Glass) -> None:
    probe = run_app(SampleApp, glass)

    assert probe.faults() == []
    probe.scroll_to("note")
    assert probe.faults() == []


def test_everything_is_higher_when_the_text_is_larger(run_app: RunApp) -> None:
    usual = run_app(SampleApp, SMALL).find("first").height

    larger = run_app(SampleApp, SMALL_LARGE_TEXT).find("first").height

    assert larger > usual


@pytest.fixture(params=theme.LIGHTS)
def light(request: pytest.FixtureRequest) -> Iterator[theme.Light]:
    """Each of the lights that a phone can be dressed for, worn."""
    theme.use_light(request.param)
    yield theme.LIGHTS[request.param]
    theme.use_light("sun")


def test_our_widgets_can_be_read_in_every_light(run_app: RunApp, light: theme.Light) -> None:
    probe = run_app(SampleApp)

    assert probe.faults() == []
    assert probe.app.root.ground == list(get_color_from_hex(light.paper))


def test_words_can_be_read_in_every_tone_pressed_or_not(light: theme.Light) -> None:
    for tone in light.tones.values():
        for ground in (tone.ground, tone.pressed):
            assert measure.contrast(colour(tone.ink), colour(ground)) >= rules.CONTRAST


def test_tones_differ_in_lightness_and_not_in_hue_alone(light: theme.Light) -> None:
    """Seen by someone who tells no colours apart, and in the sun, a pressed button still looks pressed."""
    for tone in light.tones.values():
        assert measure.contrast(colour(tone.ground), colour(tone.pressed)) > 1.15
    strong, *others = (light.tones[name].ground for name in ("strong", "plain", "caution", "quiet"))
    least = 4 if light is theme.DUSK else rules.CONTRAST
    assert all(measure.contrast(colour(strong), colour(other)) > least for other in others)


def test_what_can_be_touched_has_an_edge_that_shows(light: theme.Light) -> None:
    """WCAG 2.2, 1.4.11: 3:1 for what shows where a control is."""
    for tone in light.tones.values():
        assert measure.contrast(colour(tone.edge), colour(light.paper)) >= 3


def test_at_dusk_the_screen_is_dark_and_nothing_on_it_is_as_bright_as_paper() -> None:
    """So that the eyes see the bed again when they look up."""
    grounds = [colour(tone.ground) for tone in theme.DUSK.tones.values()]

    assert measure.contrast(colour(theme.DUSK.paper), (0, 0, 0)) < 1.2
    assert all(measure.contrast(ground, colour(theme.SUN.paper)) > 2 for ground in grounds)


def colour(text: str) -> measure.Colour:
    red, green, blue, _ = get_color_from_hex(text)
    return red, green, blue


def test_a_number_starts_where_it_is_likely_and_goes_in_steps(run_app: RunApp) -> None:
    probe = run_app(SampleApp)
    depth = probe.find("depth")
    probe.scroll_to(depth)

    assert depth.shown == "– mm"
    probe.tap("more")
    assert depth.shown == "25 mm"
    probe.tap("more")
    probe.tap("more")
    probe.tap("less")
    assert depth.shown == "30 mm"


def test_a_number_never_leaves_its_bounds(run_app: RunApp) -> None:
    probe = run_app(SampleApp)
    depth = probe.find("depth")
    probe.scroll_to(depth)
    depth.value = 5

    probe.tap("less")
    probe.tap("less")

    assert depth.value == 0


def test_holding_goes_on_and_after_a_while_in_tens(run_app: RunApp) -> None:
    probe = run_app(SampleApp)
    depth = probe.find("depth")
    probe.scroll_to(depth)
    depth.value = 1

    with probe.holding("more"):
        probe.wait_until(lambda: depth.value >= 150, "holding went on in tens", timeout=10)
    reached = depth.value
    probe.run_for(0.5)

    assert depth.value == reached
    assert reached % 50 == 0


def test_letting_go_beside_the_button_ends_the_holding(run_app: RunApp) -> None:
    probe = run_app(SampleApp)
    depth = probe.find("depth")
    probe.scroll_to(depth)
    depth.value = 0

    with probe.holding("more", let_go_at=(2, 2)):
        probe.wait_until(lambda: depth.value >= 10, "holding went on")
    reached = depth.value
    probe.run_for(0.5)

    assert depth.value == reached


def test_a_line_of_text_can_be_typed(run_app: RunApp) -> None:
    probe = run_app(SampleApp)
    probe.scroll_to("note")

    probe.tap("note")
    probe.type("wet at the far end")

    assert probe.find("note").text == "wet at the far end"


def test_a_pressed_button_looks_pressed(run_app: RunApp) -> None:
    probe = run_app(SampleApp)
    row_end = probe.find("row_end")
    before = row_end.face

    with probe.holding("row_end"):
        during = row_end.face

    assert during != before
    probe.wait_until(lambda: row_end.face == before, "the button looks as before")


def test_the_theme_opens_no_window_when_it_is_imported() -> None:
    """A presenter's test, or the start of the app before its first frame, may import a screen."""
    opened = "import sys, mobile.screens.base.theme; sys.exit('kivy.core.window' in sys.modules)"

    subprocess.run([sys.executable, "-c", opened], check=True)  # noqa: S603 - our own line
