"""The packet to read: the page and the print."""
