"""Strokes against the answer -> findings -> marks -> annotated scripts. Paper millimetres."""
