"""Makes the icon and the splash of `chain.svg`, with Chromium: `python mobile/android/art/draw.py`."""  # noqa: INP001

import re
import shutil
from pathlib import Path

from playwright.sync_api import sync_playwright

HERE = Path(__file__).parent
LAYERS = {"sky", "far", "chain", "near", "below"}
#: file -> pixels, the layers that show, the part of the drawing that is seen (left, top, width), what is behind it
PICTURES = {
    "icon.png": (512, "sky far chain near below", (72, 72, 288), "none"),
    "icon_foreground.png": (432, "chain near below", (0, 0, 432), "none"),
    "icon_background.png": (432, "sky far below", (0, 0, 432), "none"),
    "presplash.png": (1024, "far chain near", (-136, -118, 704), "#fffdf5"),
}


def picture(drawing: str, layers: str, seen: tuple[int, int, int], behind: str) -> str:
    """The drawing with these layers only."""
    left, top, width = seen
    for layer in LAYERS - set(layers.split()):
        drawing = drawing.replace(f'<g id="{layer}">', f'<g id="{layer}" display="none">')
    frame = f'viewBox="{left} {top} {width} {width}" style="display: block; background: {behind}"'
    return re.sub(r'viewBox="[^"]*"', frame, drawing, count=1)


def main() -> None:
    """Draw all pictures."""
    drawing = (HERE / "chain.svg").read_text("utf-8")
    with sync_playwright() as tools:
        browser = tools.chromium.launch(executable_path=shutil.which("chromium"), args=["--no-sandbox"])
        for name, (pixels, layers, seen, behind) in PICTURES.items():
            page = browser.new_page(viewport={"width": pixels, "height": pixels})
            page.set_content(f"<style>body {{ margin: 0 }}</style>{picture(drawing, layers, seen, behind)}")
            page.screenshot(path=HERE / name, omit_background=True)
            page.close()
        browser.close()


if __name__ == "__main__":
    main()
