"""Turnabout's calculations: the same package behind the page and the command line."""
