"""The shop sheet: one page for the bench wall, with the flute to scale and boxes to fill."""
