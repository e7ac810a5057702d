"""Exact plane geometry, pure: points, curves, crossings, regions' boundaries, frames.

Floats in centimetres, y up, angles in radians anticlockwise from +x unless a name says
``_deg``. Working precision ``EPS`` = 1e-9 cm.
"""
