"""Rows of data with their sources, loaded from resources/."""
