"""DXF: profiles for cutting, nests, drawings."""
