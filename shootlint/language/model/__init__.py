"""The plan's model: every word of the language, declared once with its phrase, unit, default and meaning."""

from shootlint.language.model.kit import Camera, Filter, Gel, Lens, Light, Modifier, Stand
from shootlint.language.model.place import Hazard, Meter, Person, Print, Shade, Site, Weather
from shootlint.language.model.plan import Acceptance, Plan
from shootlint.language.model.setup import Placement, Posed, Row, Setup

__all__ = [
    "Acceptance", "Camera", "Filter", "Gel", "Hazard", "Lens", "Light", "Meter", "Modifier", "Person", "Placement",
    "Plan", "Posed", "Print", "Row", "Setup", "Shade", "Site", "Stand", "Weather",
]  # fmt: skip
