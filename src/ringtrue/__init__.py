"""Show that every cylinder of a rebuilt engine seals: build sheet and readings in, judgement and owner's sheet out."""

__version__ = "0.1.0"
