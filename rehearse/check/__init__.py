"""An oral check: one candidate, one instructor, no help; every verdict with its evidence.

`order` draws what is asked, `flow` leads one take (pure), `live` and `offline` run it on devices
or on files, `filing` puts it into the record store.
"""
