"""Laying jobs on film: which pieces lie where on the roll, and what that saves; plain values in and out."""
