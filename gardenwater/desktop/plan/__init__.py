"""The plan: the drawing area of the window, its tools and gestures."""
