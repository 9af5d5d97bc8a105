"""The table of a printed sheet of Lasting."""

from __future__ import annotations

import math

from gardenwater.assess.answers import LastingAnswer
from gardenwater.report.text import litres
from gardenwater.report.year.reading import day_words, days_short_words
from gardenwater.site.model import Site
from gardenwater.site.names import name_of
from gardenwater.units import Quantity, text


def lasting_rows(site: Site, lasting: LastingAnswer) -> tuple[tuple[str, str], ...]:
    """What the driest year comes to, what all years do, what stands now, and what each tank's loss would cost."""
    units, figures = site.settings.units, lasting.figures
    rows = [("driest year", days_short_words(figures.short_days) if figures.short_days else "lasts")]
    if figures.first_short is not None:
        rows.append(("first dry day", day_words(figures.first_short)))
        rows.append(("missing", f"{lasting.cans_missing:,} cans"))
    rows.append((f"litres met, {len(lasting.years)} years", text(lasting.share_met_volume, Quantity.SHARE, units)))
    rows.append(("days met in full", text(lasting.share_met_days, Quantity.SHARE, units)))
    if math.isfinite(lasting.days_left):
        rows.append(("left now", f"{litres(lasting.usable_l, units)}, {math.floor(lasting.days_left)} days"))
    losses = lasting.sizes.losses if lasting.sizes is not None else ()
    rows += [
        (f"without {name_of(site, loss.tank)}", f"+{max(loss.short_days, 0.0):.0f} days a year")
        for loss in losses
        if len(losses) > 1
    ]
    return tuple(rows)
