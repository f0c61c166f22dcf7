"""Documents: what a station, a mortar and a job are. Plain TOML, checked once, frozen once read."""

from evenbead.documents.case import Case, read_any, read_case
from evenbead.documents.catches import read_catches
from evenbead.documents.fields import Assumption, typed_quantity
from evenbead.documents.job import Job
from evenbead.documents.mortar import Mortar
from evenbead.documents.reading import document_from_text, read_document
from evenbead.documents.station import Station
from evenbead.documents.writing import document_text

__all__ = [
    "Assumption",
    "Case",
    "Job",
    "Mortar",
    "Station",
    "document_from_text",
    "document_text",
    "read_any",
    "read_case",
    "read_catches",
    "read_document",
    "typed_quantity",
]
