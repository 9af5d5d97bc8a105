from __future__ import annotations

import json

import pytest

from gardenwater.errors import InputError
from gardenwater.report.palette import Scheme, palette, paper_palette
from gardenwater.tables import resource


@pytest.mark.parametrize("scheme", Scheme)
def test_each_role_has_the_colour_that_the_resource_gives(scheme: Scheme) -> None:
    rows = json.loads(resource("palette.json").read_text("utf-8"))["schemes"][scheme.value]["roles"]
    asked = palette(scheme)
    assert asked.roles == set(rows)
    assert all(asked.hex(role) == row["hex"].upper() for role, row in rows.items())


def test_a_colour_in_parts() -> None:
    assert palette(Scheme.LIGHT).rgb("spill") == (0x00, 0x2F, 0x67)  # palette.json: spill is #002F67 by day


def test_both_schemes_have_the_same_roles() -> None:
    assert palette(Scheme.LIGHT).roles == palette(Scheme.DARK).roles


def test_an_unknown_role_is_refused() -> None:
    with pytest.raises(InputError, match="no role 'plum'"):
        palette(Scheme.LIGHT).hex("plum")


def test_paper_is_white_in_print() -> None:
    assert paper_palette().hex("paper") == "#FFFFFF"
    assert paper_palette().hex("ink") == palette(Scheme.LIGHT).hex("ink")
    assert paper_palette(white=False).hex("paper") == palette(Scheme.LIGHT).hex("paper")
