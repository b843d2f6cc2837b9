"""Instruments, uncertainty and the probability that a part conforms."""
