"""`python -m gardenwater` is the command `gardenwater`."""

from __future__ import annotations

import sys

from gardenwater.cli import main

sys.exit(main())
