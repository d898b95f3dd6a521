"""The editions, oldest first."""
