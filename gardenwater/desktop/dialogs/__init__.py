"""Sheets laid over the window: questions, settings, tables, and what went wrong."""
