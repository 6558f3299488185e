"""Figures as SVG text, drawn by Python, readable in grey print, described in words."""
