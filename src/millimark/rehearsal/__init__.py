"""Invented pupils: they draw on the printed pages, are scanned, and the truth is kept.

For trying a paper out, for the demo and for tests. Marking must never import this room:
a layer contract sees to it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from millimark.rehearsal.rehearse import Rehearsal, rehearse

__all__ = ["Rehearsal", "rehearse"]


def __getattr__(name: str) -> Any:
    """Load the room's heavy imports only when it is used."""
    if name in __all__:
        from millimark.rehearsal import rehearse as module

        return getattr(module, name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
