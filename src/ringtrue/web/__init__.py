"""
The pages: parse, call the shop, show.

Every way in is a `Route` of one table, with who may use it beside it; there is no other. Nothing below the use cases of
``ringtrue.shop`` is asked for.
"""
