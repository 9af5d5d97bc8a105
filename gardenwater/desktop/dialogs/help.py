"""Keys, cautions, notices, and what the program is."""

from __future__ import annotations

from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QFrame, QGridLayout, QScrollArea, QTextBrowser, QVBoxLayout, QWidget

from gardenwater.desktop.dialogs.parts import Weight, Words
from gardenwater.desktop.dialogs.sheet import Sheet
from gardenwater.desktop.look import Look
from gardenwater.tables import resource

_HIGH_PX = 480

KEYS: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    (
        "Anywhere",
        (
            ("Ctrl+1 to Ctrl+7", "the seven questions"),
            ("F6, Shift+F6", "next, last part of the window"),
            ("F8, Shift+F8", "next, last finding, shown on the plan"),
            ("Insert or Ctrl+I", "draw: type the first letters of a word, Enter"),
            ("Ctrl+F", "find a thing"),
            ("Ctrl+Z, Ctrl+Shift+Z", "undo, redo"),
        ),
    ),
    (
        "On the plan",
        (
            ("Tab, Shift+Tab", "next, last thing; Esc then Tab leaves the plan"),
            ("Arrows", "nudge by 0.10 m; with Shift 1 m, with Alt 0.01 m"),
            ("Page Up, Page Down", "raise, lower what is selected by 0.05 m; with Shift 0.25 m"),
            ("Enter, F2", "to the card; rename"),
            ("Home, Shift+Home", "whole site; what is selected"),
            ("Space held, Ctrl+arrows", "move the sheet"),
            ("Menu key, Shift+F10", "what can be done here"),
            ("Ctrl+Enter", "edit corners by key: Tab, arrows, Insert, Delete"),
        ),
    ),
    (
        "While drawing",
        (
            ("Digits", "open length and bearing; Tab between them, Enter sets the point"),
            ("Backspace, Enter, Esc", "last point away; done; give up"),
            ("Shift, Alt held", "square to the last side; no snapping"),
        ),
    ),
    (
        "Fields, hands, findings",
        (
            ("Up, Down; Page Up, Page Down", "one step; ten"),
            ("Enter, M, S", "on a finding: show it, its mends, its source"),
        ),
    ),
)

CAUTIONS = (
    (
        "Water is heavy: 1,000 L weigh a tonne. Where a stand, a wall or a slope must carry it, local code and a"
        " licensed engineer decide."
    ),
    (
        "Children drown in open water and under open lids. Fit a locking lid or a grid, and leave nothing beside a tank"
        " to climb on; local code decides."
    ),
    (
        "Cleaning gutters and filters is work at height: a ladder on firm ground, somebody at its foot. Do not climb"
        " into a tank: there may be no air in it that can be breathed."
    ),
    (
        "Overflow near a building, over a neighbour’s boundary or onto a road can do harm and may be unlawful. Local"
        " code and a licensed practitioner decide where it may go."
    ),
    (
        "Water that soaks away near a foundation softens the ground under it. Keep soakaways and mouths of overflows as"
        " far off as local code asks."
    ),
    (
        "Roof water is not drinking water. Where a line could meet the mains, your water authority says which backflow"
        " guard it takes."
    ),
    (
        "Answers are as good as the levels they rest on. Marginal means that the levels are not good enough to say;"
        " level again before you dig or buy."
    ),
    (
        "Rain, soil and pipes are described by published figures and tables, each with its source. What stands on your"
        " site may differ."
    ),
)


class _LongSheet(Sheet):
    """A sheet whose words scroll."""

    def __init__(self, title: str, look: Look, parent: QWidget, width_px: int = 600) -> None:
        super().__init__(title, look, parent, width_px=width_px)
        self.inner = QWidget(self)
        self.rows = QVBoxLayout(self.inner)
        self.rows.setContentsMargins(0, 0, 14, 0)
        self.rows.setSpacing(8)
        area = QScrollArea(self)
        area.setWidget(self.inner)
        area.setWidgetResizable(True)
        area.setFrameShape(QFrame.Shape.NoFrame)
        for widget in (area.viewport(), self.inner):
            colors = widget.palette()
            colors.setColor(colors.ColorRole.Window, look.color("slip"))
            widget.setPalette(colors)
        area.setFixedHeight(min(look.px(_HIGH_PX), parent.window().height() - 200))
        self.body.addWidget(area)
        self.add_button("Done", self.accept, Weight.GOES_ON)


class KeysSheet(_LongSheet):
    """What the keys do."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__("Keys", look, parent)
        for head, keys in KEYS:
            self.rows.addWidget(Words(head, look, self.inner, size=15, semibold=True))
            grid = QGridLayout()
            grid.setColumnMinimumWidth(0, look.px(190))
            grid.setColumnStretch(1, 1)
            for number, (key, does) in enumerate(keys):
                grid.addWidget(Words(_of_system(key), look, self.inner, semibold=True), number, 0)
                grid.addWidget(Words(does, look, self.inner), number, 1)
            self.rows.addLayout(grid)
        self.rows.addStretch(1)


def _of_system(words: str) -> str:
    """Keys as this system writes them: on a Mac Ctrl is Command."""
    control = QKeySequence("Ctrl+A").toString(QKeySequence.SequenceFormat.NativeText).removesuffix("A")
    return words.replace("Ctrl+", control)


class CautionsSheet(_LongSheet):
    """What the program cannot know, and who decides."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__("Cautions", look, parent, 560)
        for caution in CAUTIONS:
            self.rows.addWidget(Words(caution, look, self.inner))
        self.rows.addStretch(1)


class NoticesSheet(_LongSheet):
    """The licences of what is shipped with the program."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__("Licences and notices", look, parent, 700)
        pages = QTextBrowser(self.inner)
        pages.setFrameShape(QFrame.Shape.NoFrame)
        pages.setOpenLinks(False)
        pages.setAccessibleName("Licences and notices")
        pages.setMarkdown(resource("notices/NOTICES.md").read_text("utf-8"))
        self.rows.addWidget(pages, 1)


class AboutSheet(Sheet):
    """What the program is."""

    def __init__(self, look: Look, parent: QWidget) -> None:
        super().__init__("gardenwater", look, parent, width_px=460)
        from gardenwater import __version__

        self.say(f"Version {__version__}", "ink_soft")
        self.say(
            "Water a productive garden from its own roofs, by gravity: survey, reach, overflow and lasting on one plan."
        )
        self.say("Everything stays on this computer: nothing is sent, nothing is looked up.", "ink_soft")
        self.add_button("Done", self.accept, Weight.GOES_ON)
