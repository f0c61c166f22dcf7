"""Toolpaths: readers of the print team's files, the beads they lay, when, and in which layer."""
