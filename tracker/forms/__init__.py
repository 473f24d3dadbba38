"""The room where text becomes values: page forms, what-if lines, the studio file and the roster."""
