"""How long a ground takes to be made ready for spills, and a spill on it; as ratios to pyflwdir's fill in the same run.

Run by hand: pytest tests/perf/test_overflow.py --benchmark-only -s. Nothing is asserted of times.
"""

from __future__ import annotations

import itertools
import resource
import time
from collections.abc import Callable

import numpy as np
import pyflwdir
import pytest
from affine import Affine
from pytest_benchmark.fixture import BenchmarkFixture
from scipy.ndimage import gaussian_filter

from gardenwater.assess import Workbench
from gardenwater.assess.rising import with_rain
from gardenwater.files import open_site
from gardenwater.findings import Question
from gardenwater.ground import Ground
from gardenwater.overflow import Source, prepare, spill_all
from gardenwater.tables import sample_site

SIZE = 1000


@pytest.fixture(scope="module")
def garden() -> Ground:
    """A tilted plot of a million cells with hummocks and 5 mm of noise in each cell: a hard case, full of hollows."""
    random = np.random.default_rng(1)
    rows, cols = np.mgrid[0:SIZE, 0:SIZE]
    hummocks = gaussian_filter(random.normal(0, 1, (SIZE, SIZE)), 12) * 4
    level = 100 - 0.02 * rows - 0.01 * cols + hummocks + random.normal(0, 0.005, (SIZE, SIZE))
    return Ground(level.astype(np.float32), Affine(0.5, 0, 0, 0, -0.5, 0.5 * SIZE))


def median_s(work: Callable[[], object], times: int = 5) -> float:
    """Median time of a few runs after one to warm up, s."""
    work()
    took = []
    for _ in range(times):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return float(np.median(took))


def fill_of(ground: Ground) -> object:
    return pyflwdir.fill_depressions(ground.level_m, nodata=-9999.0, outlets="edge")


def test_prepare_against_another_librarys_fill(benchmark: BenchmarkFixture, garden: Ground) -> None:
    prepare(garden)
    benchmark.pedantic(lambda: prepare(garden), rounds=5)
    fill_s = median_s(lambda: fill_of(garden))
    ratio = benchmark.stats.stats.median / fill_s
    benchmark.extra_info["of pyflwdir's fill"] = round(ratio, 2)
    prepare_ms = 1000 * benchmark.stats.stats.median
    print(f"\nprepare {prepare_ms:.0f} ms, {ratio:.2f} of pyflwdir's fill ({1000 * fill_s:.0f} ms)")


def test_a_spill_of_ten_tanks_on_a_prepared_ground(benchmark: BenchmarkFixture, garden: Ground) -> None:
    prepared = prepare(garden)
    spots = np.random.default_rng(3).uniform(60, 440, (10, 2))
    sources = [Source(at=(float(x), float(y)), volume_m3=1.0) for x, y in spots]
    benchmark.pedantic(lambda: spill_all(prepared, sources, soak_mm_h=12, over_h=6), rounds=7, warmup_rounds=1)
    prepare_s = median_s(lambda: prepare(garden), 3)
    ratio = benchmark.stats.stats.median / prepare_s
    benchmark.extra_info["of the preparation"] = round(ratio, 3)
    print(f"\nspill {1000 * benchmark.stats.stats.median:.0f} ms, {ratio:.2f} of the preparation")


def test_sixteen_million_cells(benchmark: BenchmarkFixture, garden: Ground) -> None:
    """4,000 x 4,000, the garden 16 times over in a tilt: within 25 times of one, and 3 GiB."""
    rows, cols = np.mgrid[0:4, 0:4]
    steps_m = (-0.02 * SIZE * rows - 0.01 * SIZE * cols).astype(np.float32)
    level = np.kron(np.ones((4, 4), dtype=np.float32), garden.level_m)
    level += np.kron(steps_m, np.ones((SIZE, SIZE), dtype=np.float32))
    large = Ground(level, Affine(0.5, 0, 0, 0, -0.5, 0.5 * 4 * SIZE))
    one_s = median_s(lambda: prepare(garden), 3)
    benchmark.pedantic(lambda: prepare(large), rounds=3)
    ratio = benchmark.stats.stats.median / one_s
    most_gib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 2**20
    benchmark.extra_info["of a million cells"] = round(ratio, 1)
    print(f"\nprepare {benchmark.stats.stats.median:.1f} s, {ratio:.1f} of a million cells; at most {most_gib:.2f} GiB")


def test_the_rain_hand_on_the_sample(benchmark: BenchmarkFixture) -> None:
    """One frame of the hand: the sample with a share of its rain, on the cells that a moving hand is shown."""
    site = open_site(sample_site("quillet-bank.gpkg"))
    bench = Workbench()
    bench.answers(site, question=Question.OVERFLOW, coarse=True)
    shares = itertools.cycle(np.linspace(0.05, 1.0, 37).tolist())

    def frame() -> object:
        return bench.answers(with_rain(site, next(shares)), question=Question.OVERFLOW, coarse=True)

    benchmark.pedantic(frame, rounds=36, warmup_rounds=1)
    print(f"\nrain hand: {1000 * benchmark.stats.stats.median:.1f} ms a frame")
