"""Drawings of a setup and of an evening, as plain shapes that a template writes as SVG."""
