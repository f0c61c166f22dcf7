"""`python -m evenbead`."""

from evenbead.cli import run

run()
