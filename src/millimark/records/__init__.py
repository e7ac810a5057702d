"""What lasts: classes, papers, printings, scans, scripts, marks and every change of them.

`store.Store` opens the database and its folder; the other modules hold one noun each, as
functions on a session. Nothing here takes a path from a name, and nothing here needs a network.
"""
