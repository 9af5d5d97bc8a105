"""A raster fitted to pegs: shifts and tilts are found again, and a bad peg is named."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from shapely import Point

from gardenwater.errors import InputError
from gardenwater.ground import Ground, fit_to_pegs, level_at
from gardenwater.site.things import LevelPeg


def pegs_on(
    ground: Ground, spots: list[tuple[float, float]], *, shift: float = 0.0, tilt: tuple[float, float] = (0, 0)
) -> list[LevelPeg]:
    """Pegs on shares (0 to 1) of the ground's extent, at its levels with a shift and a tilt about its middle."""
    west, south, east, north = ground.bounds
    found = []
    for number, (right, up) in enumerate(spots, 1):
        x, y = west + right * (east - west), south + up * (north - south)
        added = shift + tilt[0] * (x - (west + east) / 2) + tilt[1] * (y - (south + north) / 2)
        level_m = level_at(ground, x, y) + added
        found.append(LevelPeg(id=f"level_peg-{number}", name=f"Peg {number}", shape=Point(x, y), level_m=level_m))
    return found


SPREAD = [(0.1, 0.2), (0.8, 0.1), (0.5, 0.9), (0.3, 0.6), (0.9, 0.7)]


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_two_pegs_shift_the_ground(nsw: Ground, count: int) -> None:
    fit = fit_to_pegs(nsw, pegs_on(nsw, SPREAD[:count], shift=-1.25))
    assert (fit.shift_m, fit.tilt_east, fit.tilt_north) == (pytest.approx(-1.25, abs=1e-4), 0.0, 0.0)
    assert fit.ground.level_m == pytest.approx(nsw.level_m - 1.25, abs=1e-3)
    assert np.isnan(fit.rms_m) == (count == 1)


@pytest.mark.parametrize("count", [3, 5])
def test_three_pegs_and_more_tilt_it_too(nsw: Ground, count: int) -> None:
    pegs = pegs_on(nsw, SPREAD[:count], shift=0.4, tilt=(0.002, -0.001))
    fit = fit_to_pegs(nsw, pegs)
    assert fit.shift_m == pytest.approx(0.4, abs=1e-4)
    assert (fit.tilt_east, fit.tilt_north) == (pytest.approx(0.002, abs=1e-6), pytest.approx(-0.001, abs=1e-6))
    for peg in pegs:
        assert level_at(fit.ground, peg.shape.x, peg.shape.y) == pytest.approx(peg.level_m, abs=1e-3)
    assert ("just as many pegs" in " ".join(fit.notices)) == (count == 3)


def test_many_pegs_are_fitted_and_the_slips_among_them_named(nsw: Ground) -> None:
    """All picks of three among 1,200 pegs would be 287 million: they are drawn at random then."""
    spots = [(float(right), float(up)) for right, up in np.random.default_rng(5).uniform(0.05, 0.95, (1200, 2))]
    pegs = pegs_on(nsw, spots, shift=0.4, tilt=(0.002, -0.001))
    slips = {pegs[number].id for number in (7, 300, 1100)}
    read = [replace(peg, level_m=peg.level_m + 1.0) if peg.id in slips else peg for peg in pegs]
    fit = fit_to_pegs(nsw, read)
    assert {misfit.peg for misfit in fit.misfits if misfit.far_off} == slips
    assert fit.shift_m == pytest.approx(0.4, abs=0.01)


def test_pegs_on_a_line_do_not_tilt_it(nsw: Ground) -> None:
    fit = fit_to_pegs(nsw, pegs_on(nsw, [(0.2, 0.2), (0.5, 0.51), (0.8, 0.8)], shift=0.1))
    assert (fit.tilt_east, fit.tilt_north) == (0.0, 0.0)
    assert any("nearly on a line" in notice for notice in fit.notices)


@pytest.mark.parametrize(
    ("off", "told"),
    [
        (1, "1 of 3 pegs stands where the raster has no level; it is left out."),
        (2, "2 of 4 pegs stand where the raster has no level; they are left out."),
    ],
)
def test_pegs_off_the_raster_are_counted(nsw: Ground, off: int, told: str) -> None:
    west, south, _, _ = nsw.bounds
    away = [LevelPeg(id=f"off-{n}", shape=Point(west - 5.0 - n, south), level_m=980.0) for n in range(off)]
    assert told in fit_to_pegs(nsw, [*pegs_on(nsw, SPREAD[:2]), *away]).notices


def test_misfits_are_what_is_left_and_their_rms_counts_what_is_free(nsw: Ground) -> None:
    pegs = pegs_on(nsw, SPREAD[:2])
    apart = [pegs[0], LevelPeg(id="b", shape=pegs[1].shape, level_m=pegs[1].level_m + 0.06)]
    fit = fit_to_pegs(nsw, apart)
    assert [misfit.misfit_m for misfit in fit.misfits] == pytest.approx([-0.03, 0.03], abs=1e-4)
    # Two misfits of 0.03 m and one number found: the root of 2 x 0.0009 / 1.
    assert fit.rms_m == pytest.approx(0.0424, abs=1e-4)


@pytest.mark.parametrize("bad", [0, 2, 5])
def test_a_peg_that_is_far_off_is_named_and_no_other(nsw: Ground, bad: int) -> None:
    rng = np.random.default_rng(4)
    pegs = pegs_on(nsw, [*SPREAD, (0.4, 0.3), (0.7, 0.5)], shift=2.0)
    wrong = [
        LevelPeg(
            id=peg.id, name=peg.name, shape=peg.shape, level_m=peg.level_m + rng.normal(0, 0.02) + 0.8 * (number == bad)
        )
        for number, peg in enumerate(pegs)
    ]
    fit = fit_to_pegs(nsw, wrong)
    assert [misfit.peg for misfit in fit.misfits if misfit.far_off] == [f"level_peg-{bad + 1}"]
    assert any(notice.startswith(f"Peg {bad + 1} does not agree") for notice in fit.notices)


def test_two_pegs_far_off_do_not_hide_each_other(nsw: Ground) -> None:
    pegs = pegs_on(nsw, [*SPREAD, (0.4, 0.3), (0.7, 0.5), (0.2, 0.8), (0.6, 0.2)])
    wrong = [
        LevelPeg(id=peg.id, name=peg.name, shape=peg.shape, level_m=peg.level_m + 1.5 * (number in {1, 6}))
        for number, peg in enumerate(pegs)
    ]
    far = [misfit.peg for misfit in fit_to_pegs(nsw, wrong).misfits if misfit.far_off]
    assert far == ["level_peg-2", "level_peg-7"]


def test_pegs_off_the_raster_are_left_out_and_only_such_refused(nsw: Ground) -> None:
    lost = LevelPeg(id="lost", shape=Point(0, 0), level_m=1.0)
    fit = fit_to_pegs(nsw, [*pegs_on(nsw, SPREAD[:1], shift=0.3), lost])
    assert fit.shift_m == pytest.approx(0.3, abs=1e-4)
    assert [misfit.peg for misfit in fit.misfits] == ["level_peg-1"]
    assert "1 of 2 pegs" in fit.notices[0]
    with pytest.raises(InputError, match="No level peg"):
        fit_to_pegs(nsw, [lost])
