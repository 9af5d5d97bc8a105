"""`import gardenwater as gw`: light, and every name is there."""

from __future__ import annotations

import importlib
import subprocess
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest
from affine import Affine

import gardenwater as gw
from gardenwater.errors import EditError
from gardenwater.ground import Ground
from gardenwater.site.model import Site

ROOT = Path(__file__).resolve().parents[2]


def in_a_process(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_importing_it_loads_nothing_but_the_standard_library() -> None:
    code = "import sys; before = set(sys.modules); import gardenwater; print(*(set(sys.modules) - before))"
    loaded = in_a_process(code).split()
    others = {name.split(".")[0] for name in loaded if not name.startswith("gardenwater")}
    assert others <= set(sys.stdlib_module_names)


def test_types_of_answers_load_no_engine() -> None:
    code = (
        "import sys; from gardenwater.assess import Answers, Status\n"
        "rooms = {'gardenwater.' + room for room in ('reach', 'overflow', 'catch', 'ground', 'files')}\n"
        "assert not rooms & set(sys.modules); assert not {'numba', 'rasterio', 'scipy'} & set(sys.modules)"
    )
    in_a_process(code)


@pytest.mark.parametrize("name", gw.__all__)
def test_every_public_name_is_there(name: str) -> None:
    assert getattr(gw, name) is not None
    assert name in dir(gw)


def test_other_names_are_not() -> None:
    with pytest.raises(AttributeError, match="no attribute 'rainbow'"):
        gw.rainbow  # type: ignore[attr-defined] # noqa: B018


def test_assess_is_the_package_and_the_function() -> None:
    package = importlib.import_module("gardenwater.assess")
    assert isinstance(package, ModuleType)
    assert gw.assess is package
    assert gw.assess(Site(name="Bare")).site.name == "Bare"
    assert package.Workbench is importlib.import_module("gardenwater.assess.workbench").Workbench
    with pytest.raises(AttributeError, match="no attribute 'nothing'"):
        package.nothing  # noqa: B018


@pytest.mark.parametrize(
    "first", ["import gardenwater.assess.workbench", "gw.assess", "from gardenwater import assess"]
)
def test_assess_is_called_whatever_was_loaded_first(first: str) -> None:
    code = f"import gardenwater as gw\n{first}\nprint(len(gw.assess(gw.Site(name='Bare')).words))"
    assert in_a_process(code) == "7\n"  # one short answer for each question


def test_the_names_of_the_engines() -> None:
    assert gw.reach.Line is gw.hydraulics.Line
    for function in (gw.reach.water_reach, gw.reach.needed_level, gw.overflow.prepare, gw.overflow.spill):
        assert callable(function)
    assert gw.ground.Ground is Ground
    assert callable(gw.files.read_ground)


def test_a_new_site() -> None:
    ground = Ground(np.full((4, 5), 7.0), Affine(1, 0, 100, 0, -1, 200), "EPSG:28992")
    site = gw.new_site(name="Plot", ground=ground, latitude_deg=52.0, can_l=8.0)
    assert (site.name, site.crs) == ("Plot", "EPSG:28992")
    assert (site.settings.latitude_deg, site.settings.can_l) == (52.0, 8.0)
    assert site.ground is not None
    assert site.ground.payload is ground
    assert (site.ground.digest, site.ground.rows, site.ground.cols) == (ground.digest, 4, 5)
    assert gw.new_site().ground is None
    with pytest.raises(EditError, match="Latitude"):
        gw.new_site(latitude_deg=123.0)
    with pytest.raises(EditError):
        gw.new_site(moon_phase=3)
