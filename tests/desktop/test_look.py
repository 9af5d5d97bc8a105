"""Looks: roles to Qt's palette, light and dark, text size, icons."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from PySide6.QtGui import QColor, QPalette
from PySide6.QtWidgets import QApplication

from gardenwater.desktop.attention import Theme
from gardenwater.desktop.housestyle import HouseStyle
from gardenwater.desktop.icons import icon_pixmap, icon_svg, kind_icon, question_icon, severity_icon
from gardenwater.desktop.look import FAMILY, Look, Motion
from gardenwater.findings import Question, Severity
from gardenwater.report.palette import Scheme, palette
from gardenwater.site.things import KINDS
from gardenwater.tables import resource


@pytest.fixture
def look(qapp: QApplication) -> Iterator[Look]:
    made = Look(qapp)
    yield made
    made.deleteLater()


@pytest.mark.parametrize("theme", [Theme.LIGHT, Theme.DARK])
def test_roles_reach_the_palette_of_the_application(qapp: QApplication, look: Look, theme: Theme) -> None:
    look.set_theme(theme)
    roles = palette(Scheme(theme.value))
    shown = qapp.palette()
    assert shown.color(QPalette.ColorRole.Window) == QColor(roles.hex("sheet"))
    assert shown.color(QPalette.ColorRole.Accent) == QColor(roles.hex("mark"))
    assert shown.color(QPalette.ColorRole.Highlight) == QColor(roles.hex("slip_picked"))
    assert isinstance(qapp.style(), HouseStyle)


def test_the_typeface_is_ours_and_follows_the_text_size(qapp: QApplication, look: Look) -> None:
    look.set_percent(100)
    assert qapp.font().family() == FAMILY
    usual = qapp.font().pointSizeF()
    look.set_percent(149)
    assert look.percent == 150
    assert qapp.font().pointSizeF() == pytest.approx(1.5 * usual)
    assert look.px(20) == 30
    look.set_percent(100)


def test_a_change_of_the_looks_is_told(look: Look) -> None:
    told: list[int] = []
    look.changed.connect(lambda: told.append(1))
    look.set_theme(Theme.DARK)
    assert told
    assert look.scheme is Scheme.DARK
    look.set_theme(Theme.LIGHT)


def test_motion_can_be_reduced(look: Look) -> None:
    look.set_motion(Motion.REDUCED)
    assert look.still


def test_every_kind_question_and_severity_has_an_icon() -> None:
    names = [kind_icon(kind.kind) for kind in KINDS] + [question_icon(question) for question in Question]
    names += [severity_icon(severity) for severity in Severity]
    assert [name for name in names if not resource(f"icons/{name}.svg").is_file()] == []


def test_an_icon_takes_the_colour_of_its_role_and_wider_strokes_when_small(qapp: QApplication) -> None:
    color, behind = QColor("#62215A"), QColor("#FBF8F2")
    text = icon_svg("tank", color, behind, 17).decode()
    assert "#1E2629" not in text
    assert 'stroke-width="2.2"' in text
    assert 'stroke-width="1.75"' in icon_svg("tank", color, behind, 24).decode()
    assert "#ffffff" not in icon_svg("mark-unsafe", color, behind, 24).decode().lower()
    pixmap = icon_pixmap("mark-unsafe", color, behind, 24).toImage()
    assert pixmap.pixelColor(6, 12) == color
