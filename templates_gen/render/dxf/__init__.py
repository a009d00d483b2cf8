"""A folio as a DXF drawing for a machine."""
