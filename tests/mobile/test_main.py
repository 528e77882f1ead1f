"""The phone's program, as far as a desk can tell."""

import os
import subprocess
import sys
from types import SimpleNamespace
from typing import Any

import pytest

from mobile.main import android_metrics


def android(density: float, font_scale: float) -> Any:
    """A phone whose text is scaled: its scaledDensity has the scale in it."""
    resources = SimpleNamespace(
        getDisplayMetrics=lambda: SimpleNamespace(density=density, scaledDensity=density * font_scale),
        getConfiguration=lambda: SimpleNamespace(fontScale=font_scale),
    )
    activity = SimpleNamespace(mActivity=SimpleNamespace(getResources=lambda: resources))
    return {"org.kivy.android.PythonActivity": activity}.__getitem__


@pytest.mark.parametrize(("density", "font_scale"), [(2.625, 1.0), (2.625, 1.3), (3.0, 0.85), (1.5, 2.0)])
def test_kivy_counts_the_text_size_once(density: float, font_scale: float) -> None:
    """One dp is as many dots as the glass says, and one sp as many times the text size."""
    metrics = android_metrics(android(density, font_scale))
    line = "from kivy.metrics import Metrics, dp, sp; print(dp(100), sp(100), Metrics.density, Metrics.fontscale)"

    done = subprocess.run(  # noqa: S603 - our own line
        [sys.executable, "-c", line], env=os.environ | metrics, capture_output=True, text=True, check=True
    )

    dots = [float(each) for each in done.stdout.split()]
    assert dots == pytest.approx([100 * density, 100 * density * font_scale, density, font_scale])
