"""How captions and messages say lengths."""

from __future__ import annotations


def cm(length: float) -> str:
    """A length as a caption prints it: at most a millimetre's tenth, no idle zeros."""
    return f"{length:.2f}".rstrip("0").rstrip(".") + " cm"
