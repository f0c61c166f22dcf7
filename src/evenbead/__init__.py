"""Evenbead: plan, run and trace the continuous mixing station behind a mortar-printing nozzle."""

__version__ = "0.1.0"
