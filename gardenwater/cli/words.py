"""The command's words: what may be typed, and the help."""

from __future__ import annotations

import argparse
from typing import NoReturn

from gardenwater.cli.outputs import ABOUT, SHEETS, listed
from gardenwater.cli.status import Status, complain
from gardenwater.cli.weathering import add_weather_options

COMMANDS = ("assess", "make", "sample", "weather")

_ABOUT = """Water a productive garden from its own roofs, by gravity.

    gardenwater [SITE]                opens the window, on a site or on the start sheet
    gardenwater assess SITE --to DIR  works everything out without a window
    gardenwater make SITE ...         makes a site from a raster and tables, without a window
    gardenwater weather FILE          looks a file of weather over, and gives it to a site
    gardenwater sample                opens the sample garden; with --to DIR assesses it

`gardenwater COMMAND --help` says more about each."""

_STATUS = """exit status: 0 done, 2 the command's words are off, 3 the site or an input cannot be read (or there is no
screen for the window), 4 it was cancelled. Messages go to stderr, one line each, with the mend."""


class Parser(argparse.ArgumentParser):
    """A parser that complains in one line."""

    def error(self, message: str) -> NoReturn:
        """Say what is off and where the help is; exit with 2."""
        complain(f"{message[:1].upper()}{message[1:]}. Type {self.prog} --help to see what can be asked.")
        raise SystemExit(int(Status.WORDS_OFF))


def _parser(prog: str, about: str) -> Parser:
    return Parser(
        prog=prog,
        description=about,
        epilog=_STATUS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )


def _number(words: str) -> float:
    try:
        return float(words)
    except ValueError:
        raise argparse.ArgumentTypeError(f'"{words}" is no number') from None


def window_parser() -> Parser:
    """`gardenwater [SITE]`."""
    from gardenwater import __version__

    parser = _parser("gardenwater", _ABOUT)
    parser.add_argument("site", nargs="?", metavar="SITE", help="a site file (.gpkg); the start sheet without one")
    parser.add_argument("--sample", action="store_true", help="open the sample garden")
    parser.add_argument("--version", action="version", version=f"gardenwater {__version__}")
    return parser


def _results(parser: Parser, *, required: bool) -> None:
    parser.add_argument(
        "--to", metavar="DIR", required=required, help="folder for the results; made where it is missing"
    )
    parser.add_argument(
        "--sheets",
        choices=("A4", "A3", "Letter"),
        default="",
        help="write a sheet to print of each question as well, as PDF",
    )
    parser.add_argument("--replace", action="store_true", help="write over files there that are not an assessment's")
    parser.add_argument("--quiet", action="store_true", help="print nothing but complaints")


def assess_parser() -> Parser:
    """`gardenwater assess SITE --to DIR`."""
    about = f"""Work out everything that can be answered about a site, without a window.

Writes into DIR, as far as the site has what each needs:
{listed(tuple(ABOUT), "    ")}

and with --sheets A4, A3 or Letter:
{listed(tuple(SHEETS), "    ")}

An assessment that stands there is replaced; other files are not, unless --replace is given."""
    parser = _parser("gardenwater assess", about)
    parser.add_argument("site", metavar="SITE", help="a site file (.gpkg)")
    parser.add_argument(
        "--changed-ground",
        choices=("ask", "take", "leave"),
        default="ask",
        help="levels that another program changed in the site file: take them, or leave them out",
    )
    _results(parser, required=True)
    return parser


def sample_parser() -> Parser:
    """`gardenwater sample [--to DIR]`."""
    about = "Open the sample garden in the window; with --to DIR assess it instead, without a window."
    parser = _parser("gardenwater sample", about)
    _results(parser, required=False)
    return parser


def make_parser() -> Parser:
    """`gardenwater make SITE --ground RASTER ...`."""
    about = """Make a site without a window, from a raster of levels and tables of things.

    gardenwater make plot.gpkg --ground levels.tif --things tanks.csv --things beds.csv --buildings houses.geojson

A table of things is a CSV with a column `kind` (tank, bed, roof ...), its place (`x`, `y`, or `wkt` for lines and
outlines) and any field of that kind, units in the names as in the site file."""
    parser = _parser("gardenwater make", about)
    parser.add_argument("site", metavar="SITE", help="the site file to make (.gpkg)")
    parser.add_argument("--ground", metavar="RASTER", help="raster of levels: GeoTIFF or ASCII grid; flat without one")
    parser.add_argument("--raster-unit", metavar="UNIT", help="unit of the raster's levels where the file does not say")
    parser.add_argument(
        "--crs",
        metavar="CRS",
        help='map reference where no file says it: EPSG:n, or "" for a sheet of its own in metres',
    )
    parser.add_argument("--raster-kind", metavar="KIND", help="what its levels are of: bare-earth or surface")
    parser.add_argument(
        "--things", metavar="TABLE", action="append", default=[], help="CSV of things; may be given several times"
    )
    parser.add_argument("--buildings", metavar="FILE", help="outlines of buildings, GeoJSON")
    parser.add_argument("--name", default="Garden", help="what the place is called")
    parser.add_argument("--latitude", type=_number, metavar="DEGREES", help="north is positive")
    parser.add_argument("--altitude", type=_number, metavar="METRES", help="above the sea")
    parser.add_argument("--rain", type=_number, metavar="MM", help="rain in a year")
    parser.add_argument("--weather", metavar="FILE", help="daily weather: a table, or a station file of GHCN-Daily")
    add_weather_options(parser)
    parser.add_argument("--units", choices=("metric", "us"), default="metric", help="what people read")
    parser.add_argument("--replace", action="store_true", help="write over a file that stands there")
    parser.add_argument("--quiet", action="store_true", help="print nothing but complaints")
    return parser


def weather_parser() -> Parser:
    """`gardenwater weather FILE [--into SITE]`."""
    about = """Look a file of daily weather over: what it is like, what is wrong with it, what can be done about that.

    gardenwater weather days.csv
    gardenwater weather days.csv --mend temperature-unknown=between --into plot.gpkg

Nothing is filled or put right that was not asked for; years with days left out are not counted."""
    parser = _parser("gardenwater weather", about)
    parser.add_argument("file", metavar="FILE", help="a table of days, or a station file of GHCN-Daily")
    parser.add_argument("--into", metavar="SITE", help="a site file (.gpkg) to give it to")
    add_weather_options(parser)
    parser.add_argument("--units", choices=("metric", "us"), default="metric", help="what people read")
    parser.add_argument("--quiet", action="store_true", help="print nothing but complaints")
    return parser
