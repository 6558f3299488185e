"""Cells and packs: voltage windows, energy, resistance and sag."""
