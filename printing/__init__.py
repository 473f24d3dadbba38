"""Paper: plain text and numbers in, a PDF out; knows nothing of the tracker."""
