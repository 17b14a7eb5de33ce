"""How figures and fields of a run follow its walls: snapshots on a rough mesh, interpolated."""
