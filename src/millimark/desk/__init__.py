"""The desk: the whole cycle as a local web application, rendered on the server.

`application.make_app` builds it on a `records.store.Store`; each page's noun has its module.
It needs no network; `docs/desk.md` says who can reach it and how it is kept safe.
"""
