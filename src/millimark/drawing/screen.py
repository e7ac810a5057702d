"""The project's look on screens: ``look``'s colours as CSS variables, light and dark.

The desk's pages and the demonstrations use the same.
"""

from __future__ import annotations

from millimark.drawing import look

LIGHT = {
    "ink": look.INK,
    "slate": look.SLATE,
    "rule": look.RULE,
    "plum": look.PLUM,
    "moss": look.MOSS,
    "rust": look.RUST,
    "steel": look.STEEL,
    "straw": look.STRAW,
    "paper": look.PAPER,
    "ground": "#faf7ef",
    "on-plum": look.PAPER,
}
DARK = {
    "ink": "#e9e6dd",
    "slate": "#b3bac3",
    "rule": "#7d8896",
    "plum": "#e3a0c6",
    "moss": "#9fd08f",
    "rust": "#f0a07c",
    "steel": "#9cc6ea",
    "straw": "#2c2a24",
    "paper": "#1d232c",
    "ground": "#14181f",
    "on-plum": "#2a0f1e",
}
"""Lighter tones of the same hues on a dark ground; each keeps 4.5:1 on ``paper`` and ``ground``
(WCAG 2.2, 1.4.3; checked by a test)."""


def stylesheet(rules: str) -> str:
    """The style sheet: the colours, then ``rules`` that use them."""
    return (
        f":root {{ {_variables(LIGHT)} color-scheme: light dark; }}\n"
        f"@media (prefers-color-scheme: dark) {{ :root {{ {_variables(DARK)} }} }}\n{rules}"
    )


def _variables(colours: dict[str, str]) -> str:
    return " ".join(f"--{name}: {value};" for name, value in colours.items())
