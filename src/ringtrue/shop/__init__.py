"""The use cases, one function each: what the command line and the pages do, and nothing of how they show it."""
