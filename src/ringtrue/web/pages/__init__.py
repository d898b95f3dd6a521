"""The calm pages: read, or filled in, written by the server."""
