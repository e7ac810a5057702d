"""From an answer to the acts that draw it: plans, instruments, and how accurate they can be."""

from millimark.working.bounds import extent

__all__ = ["extent"]
