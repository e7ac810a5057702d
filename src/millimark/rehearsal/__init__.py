"""Invented pupils: they draw on the printed pages, are scanned, and the truth is kept.

For trying a paper out, for the demo and for tests. Marking must never import this room:
a layer contract sees to it. The way in is ``rehearsal.rehearse.rehearse``.
"""
