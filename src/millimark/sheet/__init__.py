"""The sheet map: what stands where on each printed page. Written by paper, read by scan."""
