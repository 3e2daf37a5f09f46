"""The screen: a terminal program on the plain data of ``view``."""
