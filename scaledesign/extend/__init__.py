"""Plug-ins: what they may contribute and how they are admitted."""
