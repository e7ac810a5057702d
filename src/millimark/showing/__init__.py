"""Showing how it is done: true-to-scale instruments in motion, pictures, captions, step sheets."""
