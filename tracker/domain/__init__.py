"""The trade itself: values in, verdicts out, with no clock, no chance and no input or output."""
