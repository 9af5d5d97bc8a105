"""gardenwater: water a garden from its own roofs, by gravity."""
