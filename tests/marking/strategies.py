"""What invented pupils may do, for Hypothesis."""

from __future__ import annotations

from hypothesis import strategies as st

seeds = st.integers(0, 2**16)
shifts = st.floats(-6.0, 6.0)
"""mm to the side."""
radii = st.floats(28.0, 55.0)
"""mm of a circle that should have 40."""
