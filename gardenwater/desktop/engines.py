"""The engines behind the window: made and warmed off the window's thread, so that nothing heavy stands before it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from gardenwater.findings import Question
from gardenwater.work import Progress, say

if TYPE_CHECKING:
    from gardenwater.assess import Answers, Workbench
    from gardenwater.site.model import Site

PREPARING = "Preparing the engines, once. You can draw meanwhile."
"""Said without a time: compiling takes half a minute here and minutes on a slow or busy machine; the share is shown."""
_SHARES = {Question.REACH: 0.0, Question.OVERFLOW: 0.25, Question.LASTING: 0.65}
"""How much of all compiling is done when that of a question begins."""


def make_bench() -> Workbench:
    """What works out answers."""
    from gardenwater.assess import Workbench

    return Workbench()


def warm_reach(progress: Progress) -> None:
    """Load what Reach needs and run it once on a small site, which compiles its kernels where no cache has them."""
    _warm(Question.REACH, progress)


def warm_others(progress: Progress) -> None:
    """The same for all other engines."""
    for question in (Question.OVERFLOW, Question.LASTING):
        _warm(question, progress)


def _warm(question: Question, progress: Progress) -> None:
    from gardenwater.assess import Workbench

    say(progress, _SHARES[question], PREPARING)
    bench, depict = Workbench(), Depicter()
    for coarse in (True, False):
        answers = bench.answers(small_site(), question=question, coarse=coarse, own=not coarse)
        depict(answers, question, "")


def small_site() -> Site:
    """A tank below a roof on a slope, with a bed, a swale, a wall and weather: work for each engine."""
    from shapely import LineString, Point, box

    from gardenwater.site.climate import Monthly
    from gardenwater.site.model import Settings, Site
    from gardenwater.site.things import Bed, Building, Downpipe, Pond, Roof, SlopeArrow, Swale, Tank, Wall

    return Site(
        settings=Settings(cell_m=1.0, latitude_deg=50.0),
        monthly=Monthly([50.0] * 12, [10.0] * 12, [8.0] * 12, [18.0] * 12),
        things=(
            SlopeArrow(id="slope_arrow-1", shape=LineString([(10.0, 18.0), (10.0, 2.0)]), one_in=10.0),
            Building(id="building-1", shape=box(4, 14, 8, 18)),
            Roof(id="roof-1", shape=box(4, 14, 8, 18)),
            Downpipe(id="downpipe-1", shape=Point(8, 14), roof="roof-1"),
            Tank(id="tank-1", shape=Point(10, 13)),
            Bed(id="bed-1", shape=box(9, 4, 12, 6)),
            Pond(id="pond-1", shape=box(14, 2, 17, 5)),
            Swale(id="swale-1", shape=LineString([(6, 11), (13, 11)])),
            Wall(id="wall-1", shape=LineString([(14, 12), (18, 12)])),
        ),
    )


class Depicter:
    """Makes of answers what the plan draws; keeps the last, of which what still holds is taken over."""

    def __init__(self) -> None:
        self._last: Any = None

    def __call__(self, answers: Answers, question: Question, focus: str) -> Any:  # noqa: D102 - see the class
        from gardenwater.report.pictures import pictures_of

        units = answers.site.settings.units
        self._last = pictures_of(answers, question, focus_tank=focus, units=units, before=self._last)
        return self._last
