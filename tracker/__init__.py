"""Footring follows every piece of a teaching ceramics studio from raw clay to its maker's hands."""
