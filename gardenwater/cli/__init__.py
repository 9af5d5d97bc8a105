"""The command line: opens the window, or does the whole job without one.

Nothing heavy is imported before it is known what is wanted, so that help comes at once.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

from gardenwater.cli.status import Status, complain, status_of
from gardenwater.cli.terminal import flush, print_plainly
from gardenwater.cli.words import COMMANDS, assess_parser, make_parser, sample_parser, weather_parser, window_parser
from gardenwater.errors import GardenwaterError

__all__ = ["Status", "main"]


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the command with these words (the process's own unless given) and return its exit status."""
    words = list(sys.argv[1:] if arguments is None else arguments)
    print_plainly()
    try:
        status = _run(words)
        flush()
        return int(status)
    except GardenwaterError as error:
        complain(str(error))
        return int(status_of(error))
    except BrokenPipeError:
        # whoever read our words (`| head`) has read enough; nothing more is flushed to them at exit
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return int(Status.DONE)
    except OSError as problem:
        complain(f'"{problem.filename}" cannot be read or written: {problem.strerror}. Name another file or folder.')
        return int(Status.NOT_READ)
    except KeyboardInterrupt:
        complain("Cancelled. What was on disk is as it was.")
        return int(Status.CANCELLED)


def _run(words: list[str]) -> Status:
    command = words[0] if words and words[0] in COMMANDS else ""
    if command == "assess":
        from gardenwater.cli.assessing import run_assess

        asked = assess_parser().parse_args(words[1:])
        return run_assess(
            asked.site,
            asked.to,
            replace=asked.replace,
            quiet=asked.quiet,
            changed_ground=asked.changed_ground,
            sheets=asked.sheets,
        )
    if command == "make":
        from gardenwater.cli.making import run_make

        return run_make(make_parser().parse_args(words[1:]))
    if command == "sample":
        from gardenwater.cli.assessing import run_sample

        asked = sample_parser().parse_args(words[1:])
        return run_sample(asked.to, replace=asked.replace, quiet=asked.quiet, sheets=asked.sheets)
    if command == "weather":
        from gardenwater.cli.weathering import run_weather

        return run_weather(weather_parser().parse_args(words[1:]))
    from gardenwater.cli.window import open_window

    asked = window_parser().parse_args(words)
    return open_window(asked.site, sample=asked.sample)
