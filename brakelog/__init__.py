"""Brake wear measurement logger with service-limit verdicts."""

__version__ = "0.1.0"
