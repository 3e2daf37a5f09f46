"""From a document to its pitches, and from wanted pitches to a document."""
