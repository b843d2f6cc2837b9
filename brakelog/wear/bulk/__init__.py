"""The wear method over many part lives at once, as arrays; one life at a time is beside it."""
