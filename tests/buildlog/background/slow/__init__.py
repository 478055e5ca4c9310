"""A room with slow work, for the tests that kill the processes that do it."""
