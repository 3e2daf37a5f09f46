"""Values and the document: no file, no physics, no screen."""
