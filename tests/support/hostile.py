"""A study whose every text would run, close an element or break a script if it were not escaped."""

from pathlib import Path

NAME = "<script>document.title='ran'</script>"
TITLE = "</script><img src=x onerror=\\\"document.title='ran'\\\"> & 'both'"
CASE = "]]> <b onmouseover=alert(1)>push</b> {{ 7 * 7 }}"

TEXT = f"""
# </pre><script>document.title = 'ran'</script>
name = "short"
title = "{TITLE}"
[bar]
name = "{NAME}"
stations = [{{ at_mm = 0, od_mm = 25.4, wall_mm = 2.0 }}]
[bar.material]
youngs_modulus_mpa = 70000
poisson_ratio = 0.33
density_kg_m3 = 2700
proof_stress_mpa = 240
ultimate_stress_mpa = 260
source = {{ kind = "measured", reference = "</table><script>document.title='ran'</script>" }}
[bar.right]
points_mm = [[0, 0, 0], [120, 0, 0]]
bend_radii_mm = []
[clamp]
width_mm = 40
[mesh]
level = "coarse"
[[cases]]
id = "push"
title = "{CASE}"
loads = [{{ side = "right", from_end_mm = 30, force_n = [0, 0, -400], band_mm = 20 }}]
[[cases]]
id = "twist"
loads = [{{ side = "left", from_end_mm = 30, moment_nmm = [20000, 0, 0], band_mm = 20 }}]
"""


def hostile_study(folder: Path) -> Path:
    """Write the study into a folder and return its path."""
    path = folder / "short.toml"
    path.write_text(TEXT, encoding="utf-8")
    return path
