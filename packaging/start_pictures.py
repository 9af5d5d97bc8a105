"""Makes the pictures of the start sheet anew: the sample's reach map and the way of its shed tank's overflow.

    python packaging/start_pictures.py      writes resources/pictures/start-light.png and start-dark.png

Run it when the sample, its answers or the signs have changed.
"""

from __future__ import annotations

import importlib.util
from dataclasses import replace
from pathlib import Path

from gardenwater.assess import Workbench
from gardenwater.findings import Question
from gardenwater.report.drawing import Drawing, LayerName, TextStyle
from gardenwater.report.look import PlanLook
from gardenwater.report.palette import Scheme, palette
from gardenwater.report.paper import write_drawing
from gardenwater.report.plan import plan_layers
from gardenwater.report.view import Margins, View
from gardenwater.site.model import Site

ROOT = Path(__file__).resolve().parent.parent
SIZE_PX = (384.0, 342.0)
SEEN = (24.0, 6.0, 69.0, 46.0)
DPI = 192.0
LEFT_OUT = {LayerName.LABELS, LayerName.FRAME, LayerName.OVERLAY}


def sample() -> Site:
    """The sample, as its script makes it."""
    spec = importlib.util.spec_from_file_location("make_quillet_bank", ROOT / "sample_sites" / "make_quillet_bank.py")
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(made)
    site: Site = made.quillet_bank()
    return site


def no_size(_words: str, _style: TextStyle) -> tuple[float, float]:
    """Words without size: nothing makes room for labels that are not drawn."""
    return 0.0, 0.0


def drawing() -> Drawing:
    """Reach of the shed tank, with the ways of the overflow on it and without words."""
    site = sample()
    shed = next(thing.id for thing in site if thing.name == "Shed tank")
    answers = Workbench().answers(site, question=Question.OVERFLOW, focus=shed)
    view = View.of(SEEN, *SIZE_PX, margins=Margins(0, 0, 0, 0), room_px=0)
    look = PlanLook(focus_tank=shed, frame=False, sheets=False, findings=False, measure=no_size)
    reach, overflow = (
        plan_layers(site, answers, view, question=question, look=look)
        for question in (Question.REACH, Question.OVERFLOW)
    )
    ways = {layer.name: layer for layer in overflow}[LayerName.ANSWERS]
    layers = [ways if layer.name is LayerName.ANSWERS else layer for layer in reach if layer.name not in LEFT_OUT]
    return replace(reach, layers=tuple(layers))


def main() -> None:
    """Make both."""
    folder = ROOT / "resources" / "pictures"
    folder.mkdir(parents=True, exist_ok=True)
    made = drawing()
    for scheme in Scheme:
        write_drawing(made, palette(scheme), folder / f"start-{scheme.value}.png", dpi=DPI)


if __name__ == "__main__":
    main()
