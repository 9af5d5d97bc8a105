"""The program's version, in the bottom room, so that all may say it."""

VERSION = "0.1.0"
