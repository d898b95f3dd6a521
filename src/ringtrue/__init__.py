"""Show that every cylinder of a rebuilt engine seals: from build sheet and gauge readings to a sheet the owner can keep."""

__version__ = "0.1.0"
