"""Revisions of the database, in the order in which releases made them."""
