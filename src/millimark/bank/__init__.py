"""A bank of invented questions, and papers made from it."""
