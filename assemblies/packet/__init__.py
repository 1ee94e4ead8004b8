"""The packet: every file that leaves the tool."""
