"""Drawings (SVG), to scale, from the outcome."""
