"""Strangers' files are opened and measured in worker processes with limits; a bad one costs one refusal."""

from intake.sandbox.pool import Sandbox

__all__ = ["Sandbox"]
